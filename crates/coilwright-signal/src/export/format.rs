use std::io::{self, Write};
use std::path::Path;

use super::{Csv, JsonLines, SigmfAnnotations, Vcd};
use crate::capture::CaptureInfo;
use crate::demodulate::Listening;

/// What an export says about the recording that it belongs to.
#[derive(Clone, Debug)]
pub struct Recording {
    /// The recording.
    pub info: CaptureInfo,
    /// The program that writes, with its version.
    pub generator: String,
    /// The metadata that `SigMF` annotations are added to: of [`sigmf_metadata_for`](super::sigmf_metadata_for), or
    /// [`sigmf_metadata_copy`](super::sigmf_metadata_copy) where the recording has metadata.
    pub sigmf: serde_json::Value,
}

/// A file that is being written while a capture is decoded.
pub trait Export: Send {
    /// Adds what one stretch had to say.
    ///
    /// # Errors
    /// When it cannot be written.
    fn add(&mut self, listening: &Listening) -> io::Result<()>;

    /// Writes what is left. Nothing is complete before.
    ///
    /// # Errors
    /// When it cannot be written.
    fn finish(self: Box<Self>) -> io::Result<()>;
}

/// The formats of a decode for other programs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ExportFormat {
    /// One JSON object a line: the capture, its stretches, its frames.
    JsonLines,
    /// One row a bit, comma separated.
    Csv,
    /// Value change dump of data, clock and line level (IEEE 1364).
    Vcd,
    /// `SigMF` metadata with an annotation for every stretch and frame.
    SigmfAnnotations,
}

impl ExportFormat {
    /// Every format.
    pub const ALL: [Self; 4] = [
        Self::JsonLines,
        Self::Csv,
        Self::Vcd,
        Self::SigmfAnnotations,
    ];

    /// The extension of its files, without the dot.
    #[must_use]
    pub const fn extension(self) -> &'static str {
        match self {
            Self::JsonLines => "jsonl",
            Self::Csv => "csv",
            Self::Vcd => "vcd",
            Self::SigmfAnnotations => "sigmf-meta",
        }
    }

    /// The format that a file's extension names.
    ///
    /// ```
    /// use coilwright_signal::export::ExportFormat;
    /// assert_eq!(ExportFormat::of_path("dunlin.vcd".as_ref()), Some(ExportFormat::Vcd));
    /// assert_eq!(ExportFormat::of_path("dunlin.txt".as_ref()), None);
    /// ```
    #[must_use]
    pub fn of_path(path: &Path) -> Option<Self> {
        let extension = path.extension()?;
        Self::ALL
            .into_iter()
            .find(|format| extension.eq_ignore_ascii_case(format.extension()))
    }

    /// Starts an export to `out`; its heading is written at once.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn start<W: Write + Send + 'static>(
        self,
        out: W,
        recording: &Recording,
    ) -> io::Result<Box<dyn Export>> {
        Ok(match self {
            Self::JsonLines => Box::new(JsonLines::new(out, recording)?),
            Self::Csv => Box::new(Csv::new(out, recording)?),
            Self::Vcd => Box::new(Vcd::new(out, recording)?),
            Self::SigmfAnnotations => Box::new(SigmfAnnotations::new(out, recording)),
        })
    }
}
