//! Captures and their readers.
//!
//! [`BlockSource`] gives a capture block by block, so that a file longer than memory can be analysed;
//! [`Capture`] is the whole capture in memory.

mod error;
mod model;

pub use error::{ReadError, ReadWarning};
pub use model::{BlockSource, Capture, CaptureInfo, SampleKind, Source, Unit};
