use std::ffi::OsString;
use std::fs::{self, File};
use std::io::BufWriter;
use std::path::{Path, PathBuf};

use super::{Capture, SampleKind};

/// Bytes that a WAV file can hold beside its header.
const DATA_LIMIT_BYTES: u64 = u32::MAX as u64 - 128;

/// How samples are stored in a WAV file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WavSample {
    /// 8-bit unsigned integer.
    Int8,
    /// 16-bit integer.
    Int16,
    /// 24-bit integer.
    Int24,
    /// 32-bit integer.
    Int32,
    /// 32-bit float.
    Float32,
}

impl WavSample {
    const fn bits(self) -> u16 {
        match self {
            Self::Int8 => 8,
            Self::Int16 => 16,
            Self::Int24 => 24,
            Self::Int32 | Self::Float32 => 32,
        }
    }

    const fn format(self) -> hound::SampleFormat {
        match self {
            Self::Float32 => hound::SampleFormat::Float,
            _ => hound::SampleFormat::Int,
        }
    }
}

/// Why a WAV file could not be written; nothing is left behind then.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WriteError {
    /// The operating system refused.
    #[error(
        "{path}: cannot be written: {source}; check the folder, its permissions and the space left"
    )]
    Io {
        /// The file as the user named it.
        path: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// The samples could not be encoded.
    #[error("{path}: cannot be written as WAV: {source}; choose another sample format")]
    Encoding {
        /// The file as the user named it.
        path: String,
        /// What the encoder said.
        source: hound::Error,
    },
    /// A WAV file holds its rate as a 32-bit integer.
    #[error(
        "{path}: found a sample rate of {found_hz} Hz, expected a whole number from 1 to 4294967295; \
         resample the capture first"
    )]
    SampleRate {
        /// The file as the user named it.
        path: String,
        /// The rate of the capture.
        found_hz: f64,
    },
    /// A WAV file holds its size as a 32-bit integer.
    #[error(
        "{path}: found more than {limit_bytes} bytes of samples, which no WAV file holds; write a shorter piece"
    )]
    TooLong {
        /// The file as the user named it.
        path: String,
        /// Bytes of samples that fit.
        limit_bytes: u64,
    },
    /// A WAV file holds real samples.
    #[error(
        "{path}: found complex samples, expected real ones; write the real part, or another format"
    )]
    Complex {
        /// The file as the user named it.
        path: String,
    },
}

/// Writes a whole real capture as a WAV file of one channel and returns how many samples were clipped.
///
/// Integers are scaled so that 1 is full scale; what lies beyond is clipped. The file appears under its name only
/// once it is complete.
///
/// # Errors
/// When the capture does not fit in a WAV file or the system refuses; nothing is left behind then.
pub fn write_wav(
    path: impl AsRef<Path>,
    capture: &Capture,
    stored: WavSample,
) -> Result<u64, WriteError> {
    let path = path.as_ref();
    if capture.info.kind == SampleKind::Complex {
        return Err(WriteError::Complex {
            path: path.display().to_string(),
        });
    }
    let mut file = WavFile::create(path, capture.info.sample_rate_hz, stored)?;
    file.write(&capture.samples)?;
    file.finish()
}

/// A WAV file of one channel that is written block by block and appears under its name when it is finished.
///
/// Dropped before that, it leaves nothing behind.
///
/// ```
/// use coilwright_signal::capture::{ReadOptions, WavFile, WavSample, read};
/// let folder = tempfile::tempdir()?;
/// let path = folder.path().join("dunlin.wav");
/// let mut file = WavFile::create(&path, 1e6, WavSample::Int16)?;
/// file.write(&[0.5; 100])?;
/// file.write(&[-2.0; 3])?;
/// assert!(!path.exists());
/// assert_eq!(file.finish()?, 3);
/// assert_eq!(read(&path, &ReadOptions::default())?.0.samples.len(), 103);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub struct WavFile {
    writer: Option<hound::WavWriter<BufWriter<File>>>,
    stored: WavSample,
    path: PathBuf,
    partial: PathBuf,
    written: u64,
    clipped: u64,
}

impl WavFile {
    /// Starts a file of one channel at this rate in samples per second.
    ///
    /// # Errors
    /// When the rate is no whole number of hertz or the system refuses.
    pub fn create(
        path: impl AsRef<Path>,
        sample_rate_hz: f64,
        stored: WavSample,
    ) -> Result<Self, WriteError> {
        let path = path.as_ref();
        let spec = hound::WavSpec {
            channels: 1,
            sample_rate: whole_rate(path, sample_rate_hz)?,
            bits_per_sample: stored.bits(),
            sample_format: stored.format(),
        };
        let partial = partial_name(path);
        let file = File::create(&partial).map_err(|source| io_error(path, source))?;
        let mut created = Self {
            writer: None,
            stored,
            path: path.to_owned(),
            partial,
            written: 0,
            clipped: 0,
        };
        let writer = hound::WavWriter::new(BufWriter::new(file), spec)
            .map_err(|source| created.encoding(source))?;
        created.writer = Some(writer);
        Ok(created)
    }

    /// Appends samples; 1 is full scale, what lies beyond is clipped in integer formats.
    ///
    /// # Errors
    /// When the file grows beyond what a WAV file can hold or the system refuses.
    pub fn write(&mut self, samples: &[f32]) -> Result<(), WriteError> {
        self.written += samples.len() as u64;
        if self.written * u64::from(self.stored.bits() / 8) > DATA_LIMIT_BYTES {
            return Err(WriteError::TooLong {
                path: self.path.display().to_string(),
                limit_bytes: DATA_LIMIT_BYTES,
            });
        }
        let limit = (f64::from(self.stored.bits()) - 1.0).exp2();
        for &sample in samples {
            let Some(writer) = &mut self.writer else {
                break;
            };
            let outcome = if self.stored == WavSample::Float32 {
                writer.write_sample(sample)
            } else {
                let scaled = (f64::from(sample) * limit).round();
                self.clipped += u64::from(scaled < -limit || scaled > limit);
                writer.write_sample(scaled.clamp(-limit, limit - 1.0) as i32)
            };
            outcome.map_err(|source| self.encoding(source))?;
        }
        Ok(())
    }

    /// Completes the file, gives it its name and returns how many samples were clipped.
    ///
    /// # Errors
    /// When the system refuses; nothing is left behind then.
    pub fn finish(mut self) -> Result<u64, WriteError> {
        if let Some(writer) = self.writer.take() {
            writer.finalize().map_err(|source| self.encoding(source))?;
        }
        fs::rename(&self.partial, &self.path).map_err(|source| io_error(&self.path, source))?;
        Ok(self.clipped)
    }

    fn encoding(&self, error: hound::Error) -> WriteError {
        match error {
            hound::Error::IoError(source) => io_error(&self.path, source),
            source => WriteError::Encoding {
                path: self.path.display().to_string(),
                source,
            },
        }
    }
}

impl Drop for WavFile {
    fn drop(&mut self) {
        // After `finish` the partial file has its final name, and there is nothing to remove.
        drop(self.writer.take());
        let _ = fs::remove_file(&self.partial);
    }
}

fn io_error(path: &Path, source: std::io::Error) -> WriteError {
    WriteError::Io {
        path: path.display().to_string(),
        source,
    }
}

fn whole_rate(path: &Path, sample_rate_hz: f64) -> Result<u32, WriteError> {
    if (1.0..=f64::from(u32::MAX)).contains(&sample_rate_hz) && sample_rate_hz.fract() == 0.0 {
        Ok(sample_rate_hz as u32)
    } else {
        Err(WriteError::SampleRate {
            path: path.display().to_string(),
            found_hz: sample_rate_hz,
        })
    }
}

/// A hidden name beside the file, so that the rename stays within one file system.
fn partial_name(path: &Path) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(format!(".{}.partial", std::process::id()));
    path.with_file_name(name)
}
