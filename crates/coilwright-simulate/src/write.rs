use std::path::{Path, PathBuf};

use coilwright_signal::capture::{WavSample, write_wav};

use crate::{SimulateError, Simulated};

/// The files that [`write()`] made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The capture.
    pub capture: PathBuf,
    /// The truth as JSON.
    pub truth: PathBuf,
    /// The capture of the reference.
    pub reference: Option<PathBuf>,
}

/// Writes `NAME.wav`, `NAME.truth.json` and, where there is one, `NAME.reference.wav` into a folder and returns their
/// paths.
///
/// Formats of up to 8, 16 and 24 bits are stored in the next larger of these; volts in floating point.
///
/// ```
/// use coilwright_simulate::{Fault, Scenario, write};
/// let folder = tempfile::tempdir()?;
/// let written = write(&Scenario::random(Fault::DriveWeak, 3).simulate()?, folder.path(), "dunlin")?;
/// assert!(written.capture.ends_with("dunlin.wav"));
/// assert!(written.reference.is_some());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// When the system refuses or the capture does not fit in a WAV file.
pub fn write(
    simulated: &Simulated,
    folder: impl AsRef<Path>,
    name: &str,
) -> Result<Written, SimulateError> {
    let folder = folder.as_ref();
    let stored = match simulated.truth.recorder.bits {
        Some(..=8) => WavSample::Int8,
        Some(9..=16) => WavSample::Int16,
        Some(_) => WavSample::Int24,
        None => WavSample::Float32,
    };
    let capture = folder.join(format!("{name}.wav"));
    write_wav(&capture, &simulated.capture, stored)?;
    let reference = match &simulated.reference {
        Some(healthy) => {
            let path = folder.join(format!("{name}.reference.wav"));
            write_wav(&path, healthy, stored)?;
            Some(path)
        }
        None => None,
    };
    let truth = folder.join(format!("{name}.truth.json"));
    let refused = |source: std::io::Error| SimulateError::TruthFile {
        path: truth.display().to_string(),
        source,
    };
    let json =
        serde_json::to_string_pretty(&simulated.truth).map_err(|error| refused(error.into()))?;
    std::fs::write(&truth, json + "\n").map_err(refused)?;
    Ok(Written {
        capture,
        truth,
        reference,
    })
}
