//! Captures and their readers.
//!
//! [`open`] decides the format by content and gives the capture block by block through [`BlockSource`], so that a
//! file longer than memory can be analysed; [`read`] gives the whole [`Capture`]. [`open_stream`] reads what cannot
//! be rewound, such as standard input. Readers take damaged files as far as that is safe: what they repaired or
//! doubted is a [`ReadWarning`], what they cannot trust is a [`ReadError`].

mod convert;
pub(crate) mod delimited;
mod error;
pub(crate) mod input;
mod interleaved;
mod memory;
mod model;
mod npy;
mod open;
mod options;
mod raw;
mod raw_type;
mod sigmf;
mod warning;
mod wav;
mod write_wav;

pub use error::{Head, ReadError};
pub use memory::MemorySource;
pub use model::{BlockSource, Capture, CaptureInfo, SampleKind, Source, Storage, Unit};
pub use open::{Rewindable, open, open_reader, open_stream, read, read_all};
pub use options::ReadOptions;
pub use raw_type::RawType;
pub use sigmf::{
    SigmfAnnotation, SigmfMetadata, SigmfSegment, is_sigmf, open_sigmf, read_sigmf_json,
    read_sigmf_metadata,
};
pub use warning::ReadWarning;
pub use write_wav::{WavFile, WavSample, WriteError, write_wav};
