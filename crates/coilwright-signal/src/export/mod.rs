//! What was decoded, written for other programs: JSON lines, CSV, value change dump, `SigMF` annotations.
//!
//! Every writer takes the stretches of a capture in order of time, as [`listen`](crate::demodulate::listen) returns
//! them, and writes as it goes, so that its memory does not grow with the capture. Neighbouring stretches may overlap:
//! bits and frames that were written are not written again.

mod csv;
mod format;
mod fresh;
mod json_lines;
mod sigmf;
mod sigmf_metadata;
mod vcd;

pub use csv::Csv;
pub use format::{Export, ExportFormat, Recording};
pub use json_lines::JsonLines;
pub use sigmf::SigmfAnnotations;
pub use sigmf_metadata::{DataFile, sigmf_metadata_copy, sigmf_metadata_for};
pub use vcd::Vcd;
