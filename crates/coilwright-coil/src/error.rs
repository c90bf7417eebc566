use crate::Estimate;
use crate::quantity::{Measured, Positive};
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
    /// A table has too few points for the number of parameters.
    #[error("{found} points were given, at least {needed} are needed: measure at more frequencies")]
    TooFewPoints {
        /// Number of points.
        found: usize,
        /// The least number.
        needed: usize,
    },
    /// Frequencies are not positive, finite and rising.
    #[error(
        "frequency {index} is {found_hz} Hz after {before_hz} Hz, a greater finite number is needed: sort the table and drop repeats"
    )]
    FrequencyOrder {
        /// Index of the point.
        index: usize,
        /// Its frequency.
        found_hz: f64,
        /// The frequency before it, zero if it is the first.
        before_hz: f64,
    },
    /// There is not one value for each frequency.
    #[error("{values} values were given for {frequencies} frequencies, one for each is needed")]
    LengthsDiffer {
        /// Number of frequencies.
        frequencies: usize,
        /// Number of values.
        values: usize,
    },
    /// A value of a table is infinite or not a number.
    #[error("the value at point {index} is not a finite number")]
    PointNotFinite {
        /// Index of the point.
        index: usize,
    },
    /// A quantity that must be positive is not.
    #[error("the {quantity} is {found}, a positive finite number is needed")]
    NotPositive {
        /// What it is.
        quantity: Positive,
        /// What was given.
        found: f64,
    },
    /// No resonance stands out of the response.
    #[error(
        "no resonance stands out between {low_hz:.0} and {high_hz:.0} Hz: noise would do as much with probability {chance:.2}; \
         widen the sweep, couple more tightly, or average"
    )]
    NoResonance {
        /// Lower end of the band.
        low_hz: f64,
        /// Upper end.
        high_hz: f64,
        /// Probability that noise alone explains as much, over all trials.
        chance: f64,
    },
    /// The best resonance lies outside the band: the sweep shows its flank only.
    #[error(
        "the resonance would lie at {resonance_hz:.0} Hz, outside {low_hz:.0} to {high_hz:.0} Hz: move the sweep so that it holds the resonance"
    )]
    ResonanceOutside {
        /// Where the fit puts it.
        resonance_hz: f64,
        /// Lower end of the band.
        low_hz: f64,
        /// Upper end.
        high_hz: f64,
    },
    /// The reflection is too close to that of an open or a short for its resistance to be told.
    #[error(
        "the coil has {:.4} ± {:.4} mH, but the reflection in {reference_ohm:.0} Ω cannot give its Q: at {frequency_hz:.0} Hz it has {:.1} Ω of resistance in {:.0} Ω \
         of impedance, and an uncertainty of {reflection_std_dev:.1e} in the reflection is {:.1} Ω of it ({:.0} % of Q, limit {:.0} %); \
         tune the coil with a series capacitor, or use a ring-down, a sweep or an impedance meter",
        1e3 * inductance_henry.value, 1e3 * inductance_henry.std_dev, resistance_ohm.value, impedance_ohm, resistance_ohm.std_dev,
        100.0 * relative, 100.0 * limit
    )]
    ReflectionBlind {
        /// Inductance, henry: the reflection gives it although it does not give Q.
        inductance_henry: Estimate,
        /// Capacitance across the coil, farad, where the reflection shows one.
        capacitance_farad: Option<Estimate>,
        /// Frequency at which the resistance was best determined.
        frequency_hz: f64,
        /// Reference resistance.
        reference_ohm: f64,
        /// The resistance with what the uncertainty of the reflection makes of it.
        resistance_ohm: Estimate,
        /// Magnitude of the impedance.
        impedance_ohm: f64,
        /// Standard deviation of the reflection, noise and calibration together.
        reflection_std_dev: f64,
        /// Relative standard deviation of Q.
        relative: f64,
        /// The largest that is accepted.
        limit: f64,
    },
    /// Nothing but the capacitance of leads is there: the coil is open, or not connected.
    #[error(
        "the impedance is that of {:.1} ± {:.1} pF, as an open coil or a bare cable has: check the connection and the winding's continuity",
        1e12 * capacitance_farad.value, 1e12 * capacitance_farad.std_dev
    )]
    OpenCircuit {
        /// Capacitance, farad.
        capacitance_farad: Estimate,
    },
    /// Nothing but a wire is there: the coil or its connection is shorted.
    #[error(
        "the impedance is that of {:.2} ± {:.2} Ω and {:.0} nH, as a short or a bare wire has: check the connection and the winding for a short",
        resistance_ohm.value, resistance_ohm.std_dev, 1e9 * inductance_henry.value
    )]
    ShortCircuit {
        /// Resistance, ohm.
        resistance_ohm: Estimate,
        /// Inductance, henry.
        inductance_henry: Estimate,
    },
    /// The circle of the resonance and its scale do not fit a passive resonator.
    #[error(
        "the resonance circle has a diameter of {diameter:.4}, less than {limit:.4} is possible: check the calibration and the scale of the data"
    )]
    CircleTooLarge {
        /// Diameter after scaling.
        diameter: f64,
        /// What a lossless resonator would have.
        limit: f64,
    },
    /// The impedance is not that of a coil.
    #[error(
        "the impedance is not inductive: {reactance_ohm:.3} Ω of reactance at {frequency_hz:.0} Hz, a positive one is needed below the self-resonance; \
         check the phase's sign and that the sweep begins below the self-resonance"
    )]
    NotInductive {
        /// Frequency of the first point.
        frequency_hz: f64,
        /// Reactance there.
        reactance_ohm: f64,
    },
    /// The sound card cannot make or take the frequency.
    #[error(
        "{frequency_hz:.0} Hz is beyond this card: at {sample_rate_hz:.0} samples per second it makes at most {highest_hz:.0} Hz; \
         use at least {needed_rate_hz:.0} samples per second, a signal generator, or lower the resonance with a known capacitor"
    )]
    BeyondCard {
        /// Highest frequency that was asked for.
        frequency_hz: f64,
        /// Samples per second of the card.
        sample_rate_hz: f64,
        /// Highest frequency that it makes.
        highest_hz: f64,
        /// Least rate that would do.
        needed_rate_hz: f64,
    },
    /// The stimulus reaches the pickup with so little coherence that no transfer function is left.
    #[error(
        "the pickup does not follow the stimulus: coherence is {coherence:.3} at best between {low_hz:.0} and {high_hz:.0} Hz, \
         at least {needed:.3} is needed; check the channels and the level, or record longer"
    )]
    Incoherent {
        /// Largest coherence in the band.
        coherence: f64,
        /// The least.
        needed: f64,
        /// Lower end of the band.
        low_hz: f64,
        /// Upper end.
        high_hz: f64,
    },
    /// The band of a stimulus or transfer function is empty.
    #[error(
        "the band {low_hz} to {high_hz} Hz is empty or reaches zero: give a lower and a higher positive frequency"
    )]
    BadBand {
        /// Lower end.
        low_hz: f64,
        /// Upper end.
        high_hz: f64,
    },
    /// A range of allowed values is empty.
    #[error(
        "the limits {low} to {high} say nothing: give the lower one first, and at least one of them above 0"
    )]
    BadRange {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
    /// A stimulus louder than full scale.
    #[error("the peak of the stimulus is {found}, at most 1 is full scale: more would be clipped")]
    PeakBeyondScale {
        /// What was given.
        found: f64,
    },
    /// More or fewer tones than the band has places for.
    #[error(
        "the multi-sine has {found} tones, from 2 to {most} repeat in {duration_s} s between {low_hz} and {high_hz} Hz: \
         change their number, or lengthen the stimulus"
    )]
    TonesUnplayable {
        /// Tones asked for.
        found: usize,
        /// Most tones.
        most: usize,
        /// Length of the stimulus, seconds.
        duration_s: f64,
        /// Lower end of the band.
        low_hz: f64,
        /// Upper end.
        high_hz: f64,
    },
    /// A complex response without a phase.
    #[error(
        "the response is real at all {points} points, its phase is needed too: give complex values, or fit amplitudes alone as a sweep"
    )]
    PhaseMissing {
        /// Number of points.
        points: usize,
    },
    /// Nothing was measured.
    #[error("all {points} {quantity} are zero: check the connection and the columns of the table")]
    AllZero {
        /// What they are.
        quantity: Measured,
        /// Number of points.
        points: usize,
    },
    /// A stimulus would have too many samples.
    #[error(
        "the stimulus would have {found:.0} samples, at most {limit} are made: shorten it or lower the rate"
    )]
    StimulusLong {
        /// Samples asked for.
        found: f64,
        /// Most samples.
        limit: usize,
    },
}
