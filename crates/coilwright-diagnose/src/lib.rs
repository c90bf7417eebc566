//! From measurements on a capture to a verdict on key, field and antenna ring.
//!
//! [`check`] does it all in one call. [`Measurement`] parts measuring from concluding, so that one known-good capture can
//! serve several others. [`Check`] is the one result value that feeds every output: text, JSON, report and Python print
//! the same struct.

mod assess;
mod conclude;
mod density;
mod error;
mod evidence;
mod faults;
mod limits;
mod measure;
mod measurement;
mod options;
pub mod result;
mod verdict;
mod words;

pub use error::CheckError;
pub use faults::fault_pages;
pub use measure::{Passage, Progress};
pub use measurement::{Measurement, check};
pub use options::CheckOptions;
pub use result::{Check, Fault, SCHEMA, Verdict};
