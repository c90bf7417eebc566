/// Why an [`ActivityDetector`](super::ActivityDetector) could not be set up.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ActivityError {
    /// The sample rate is not a positive number.
    #[error("sample rate {sample_rate_hz} Hz: expected a positive number")]
    SampleRate {
        /// The rate that was given.
        sample_rate_hz: f64,
    },
    /// The carrier does not lie in the band that the sample rate can show.
    #[error(
        "carrier at {carrier_hz} Hz: expected the frequency where it appears in the capture, \
         from above 0 to below {limit_hz} Hz"
    )]
    Carrier {
        /// The frequency that was given.
        carrier_hz: f64,
        /// Half the sample rate.
        limit_hz: f64,
    },
}
