use crate::Estimate;
use serde::{Deserialize, Serialize};

/// Why no resonance and Q could be given.
///
/// Where a fit was made but means nothing, its numbers are kept: the absence of a ring-down is itself a finding.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[serde(rename_all = "snake_case", tag = "reason")]
#[non_exhaustive]
pub enum FitError {
    /// The call has no record.
    #[error("no record was given: pass at least one run of samples that starts just after an edge")]
    NoRecords,
    /// A record is too short for the number of parameters.
    #[error(
        "record {record} has {found} samples, at least {needed} are needed: take a longer piece or a faster rate"
    )]
    TooFewSamples {
        /// Index of the record.
        record: usize,
        /// Its length.
        found: usize,
        /// The least length.
        needed: usize,
    },
    /// The sample rate is not a positive finite number.
    #[error("the sample rate is {found_hz} Hz, a positive number is needed")]
    BadSampleRate {
        /// What was given.
        found_hz: f64,
    },
    /// The drive frequency or its standard deviation makes no sense.
    #[error(
        "the drive frequency is {found_hz} Hz, a positive number with a finite standard deviation is needed"
    )]
    BadDriveFrequency {
        /// What was given.
        found_hz: f64,
    },
    /// The search band is empty or outside half the sample rate.
    #[error(
        "the search band {low_hz} to {high_hz} Hz does not lie between zero and half the sample rate, {nyquist_hz} Hz"
    )]
    BadSearchBand {
        /// Lower end.
        low_hz: f64,
        /// Upper end.
        high_hz: f64,
        /// Half the sample rate.
        nyquist_hz: f64,
    },
    /// A sample is infinite or not a number.
    #[error("sample {index} of record {record} is not a finite number")]
    NotFinite {
        /// Index of the record.
        record: usize,
        /// Index of the sample in it.
        index: usize,
    },
    /// Nothing rings above the noise.
    #[error(
        "no oscillation stands above the noise: {gain_db:.1} dB gained by the best mode, {needed_db:.1} dB needed"
    )]
    NoSignal {
        /// Energy of the best mode over the noise variance, in decibels.
        gain_db: f64,
        /// The least gain.
        needed_db: f64,
    },
    /// The tail dies within about one cycle, as with shorted turns: there is no ring-down to measure.
    #[error(
        "no ring-down: the tail falls to 1/e in {cycles_per_tau:.2} cycles (Q {:.2} ± {:.2} at {:.0} Hz)",
        q.value, q.std_dev, resonance_hz.value
    )]
    NoRingDown {
        /// Undamped resonance of the best fit.
        resonance_hz: Estimate,
        /// Q of the best fit.
        q: Estimate,
        /// Cycles in one time constant.
        cycles_per_tau: f64,
    },
    /// The oscillation does not decay measurably within the record.
    #[error(
        "the oscillation at {frequency_hz:.0} Hz does not decay within the record: {:.3e} ± {:.1e} nepers per second",
        decay_per_s.value, decay_per_s.std_dev
    )]
    NotDecaying {
        /// Apparent frequency of the oscillation.
        frequency_hz: f64,
        /// Decay in nepers per second.
        decay_per_s: Estimate,
    },
    /// Damped sinusoids do not describe the record: the numbers of the best fit would be nonsense.
    #[error(
        "damped sinusoids do not explain the record: the misfit is {:.0} % of the mode at {resonance_hz:.0} Hz, Q {q:.1}",
        100.0 * misfit
    )]
    NotExplained {
        /// Undamped resonance of the best fit.
        resonance_hz: f64,
        /// Q of the best fit.
        q: f64,
        /// Structured residual over the mode, both as root mean square over the mode's life.
        misfit: f64,
    },
    /// The fit ran into columns that cannot be told apart.
    #[error("the fit did not converge: the modes and lines cannot be told apart in this record")]
    NotSeparable,
}
