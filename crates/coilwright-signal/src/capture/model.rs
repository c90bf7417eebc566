use serde::Serialize;

use super::RawType;

/// What one sample is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SampleKind {
    /// One `f32` a sample.
    Real,
    /// Two `f32` a sample, I then Q.
    Complex,
}

impl SampleKind {
    /// How many `f32` one sample takes in a block.
    pub const fn width(self) -> usize {
        match self {
            Self::Real => 1,
            Self::Complex => 2,
        }
    }
}

/// Unit of the sample values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// Fraction of the recorder's full scale: integer formats are scaled so that full scale is 1.
    FullScale,
    /// Volts, where the file says so.
    Volt,
    /// The file does not say.
    Unknown,
}

/// Where a capture came from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Source {
    /// Path as the user gave it, `-` for standard input, or a name such as `array`.
    pub name: String,
    /// The format in words, such as `WAV, 16-bit integer`.
    pub format: String,
}

/// How the samples lie in their file, where they lie there in binary and one frame after the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Storage {
    /// How one sample of one channel is stored.
    pub raw_type: RawType,
    /// Bytes before the first sample.
    pub header_bytes: u64,
}

/// Everything about a capture but its samples.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CaptureInfo {
    /// Samples per second and channel.
    pub sample_rate_hz: f64,
    /// Real or complex samples.
    pub kind: SampleKind,
    /// Unit of the values.
    pub unit: Unit,
    /// The channel that was chosen, from 0.
    pub channel: usize,
    /// How many channels the source holds.
    pub channels: usize,
    /// Largest magnitude that the stored format can hold, in the capture's unit; `None` for floating point and text.
    pub full_scale: Option<f64>,
    /// Smallest step of the stored format, in the capture's unit; `None` for floating point and text.
    pub step: Option<f64>,
    /// Length in samples, where it is known before reading.
    pub length: Option<u64>,
    /// When the first sample was taken, as the file states it (ISO 8601).
    pub start_time: Option<String>,
    /// Where the capture came from.
    pub source: Source,
    /// How the samples lie in their file; `None` for text, for samples in memory and for channels that stand apart.
    #[serde(skip)]
    pub storage: Option<Storage>,
}

/// A capture that is read block by block.
///
/// Values arrive in the capture's [`Unit`], complex samples as I, Q pairs. `E` is the reader's error.
pub trait BlockSource: Send {
    /// What is known about the capture.
    fn info(&self) -> &CaptureInfo;

    /// Fills `block` from its start and returns how many `f32` were written; 0 means the end.
    ///
    /// The count is a multiple of [`SampleKind::width`] and is smaller than the block only at the end.
    ///
    /// # Errors
    /// When the source cannot be read or is broken in a way that no repair is safe.
    fn read_block(&mut self, block: &mut [f32]) -> Result<usize, super::ReadError>;

    /// What was repaired or doubted so far; complete once the end was reached.
    fn warnings(&self) -> &[super::ReadWarning];
}

/// A whole capture in memory.
#[derive(Clone, Debug, PartialEq)]
pub struct Capture {
    /// Everything but the samples.
    pub info: CaptureInfo,
    /// The samples: one `f32` each, or I, Q pairs.
    pub samples: Vec<f32>,
}

impl Capture {
    /// A real capture from samples in memory, such as a `NumPy` array or a simulated signal.
    ///
    /// ```
    /// use coilwright_signal::capture::Capture;
    /// let capture = Capture::from_samples(vec![0.0; 1000], 1e6);
    /// assert_eq!(capture.info.length, Some(1000));
    /// ```
    #[must_use]
    pub fn from_samples(samples: Vec<f32>, sample_rate_hz: f64) -> Self {
        Self::from_parts(samples, sample_rate_hz, SampleKind::Real)
    }

    /// A capture of the given kind from samples in memory; complex samples are I, Q pairs.
    #[must_use]
    pub fn from_parts(samples: Vec<f32>, sample_rate_hz: f64, kind: SampleKind) -> Self {
        let length = (samples.len() / kind.width()) as u64;
        Self {
            info: CaptureInfo {
                sample_rate_hz,
                kind,
                unit: Unit::Unknown,
                channel: 0,
                channels: 1,
                full_scale: None,
                step: None,
                length: Some(length),
                start_time: None,
                source: Source {
                    name: "array".to_owned(),
                    format: "samples in memory".to_owned(),
                },
                storage: None,
            },
            samples,
        }
    }
}
