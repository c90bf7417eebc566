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
    /// The part that listens for keys ended before the capture did.
    #[error(
        "{file}: listening for keys ended in a defect of this program; expected it to reach the end of the capture; no verdict is given: please report it with the capture"
    )]
    ListenerDied {
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

#[cfg(test)]
mod tests {
    use super::CheckError;

    #[test]
    fn a_dead_listener_says_that_no_verdict_is_given() {
        let error = CheckError::ListenerDied {
            file: "lock.wav".to_owned(),
        };
        assert_eq!(
            error.to_string(),
            "lock.wav: listening for keys ended in a defect of this program; expected it to reach the end of the capture; \
             no verdict is given: please report it with the capture"
        );
    }
}
