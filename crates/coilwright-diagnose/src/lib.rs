//! From measurements on a capture to a verdict on key, field and antenna ring.
//!
//! [`Check`] is the one result value that feeds every output: text, JSON, report and Python print the same struct.

pub mod result;

pub use result::{Check, Fault, SCHEMA, Verdict};
