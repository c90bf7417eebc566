use coilwright_signal::capture::ReadError;

/// Why a check could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum CheckError {
    /// The capture could not be read.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// The capture holds no samples.
    #[error(
        "{file}: holds no samples; expected a recording of at least a few milliseconds; record again, or check that the right channel and data type were named"
    )]
    Empty {
        /// The capture as the user named it.
        file: String,
    },
    /// The nominal carrier makes no sense.
    #[error(
        "nominal carrier {nominal_hz} Hz: expected a frequency from {low_hz} to {high_hz} Hz; usual are 125000 and 134200"
    )]
    NominalOutOfRange {
        /// What was asked for.
        nominal_hz: f64,
        /// Lowest that is accepted.
        low_hz: f64,
        /// Highest that is accepted.
        high_hz: f64,
    },
}
