use crate::Estimate;
use serde::{Deserialize, Serialize};

/// A natural mode `A e^(−αt) cos(ω_d t + φ)`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Mode {
    /// Undamped resonance `√(ω_d² + α²) / 2π`, hertz, at its true frequency.
    pub resonance_hz: Estimate,
    /// Damped frequency `ω_d / 2π`: what the eye counts, hertz, at its true frequency.
    pub damped_hz: Estimate,
    /// Quality factor `ω₀ / 2α` with the undamped `ω₀`.
    pub q: Estimate,
    /// Decay α, nepers per second.
    pub decay_per_s: Estimate,
    /// Covariance of resonance and Q, hertz.
    pub covariance_hz: f64,
    /// Amplitude at the first sample, root mean square over the records, in the samples' unit.
    pub amplitude: f64,
}

impl Mode {
    /// Time in which the oscillation falls to 1/e, seconds.
    #[must_use]
    pub fn time_constant_s(&self) -> f64 {
        self.decay_per_s.value.recip()
    }
}

/// One component of one record, at its first sample.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Component {
    /// Apparent frequency, hertz.
    pub frequency_hz: f64,
    /// Decay, nepers per second; zero for a steady line.
    pub decay_per_s: f64,
    /// Amplitude in the samples' unit.
    pub amplitude: f64,
    /// Phase of the cosine, radians.
    pub phase_rad: f64,
}

/// The fitted curve of one record: baseline, then modes, then lines.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FittedRecord {
    /// Level of the baseline at the first sample, in the samples' unit.
    pub dc: f64,
    /// Slope of the baseline, in the samples' unit per second; zero unless the residual demanded one.
    pub drift_per_s: f64,
    /// Everything that oscillates.
    pub components: Vec<Component>,
}

impl FittedRecord {
    /// The fitted curve at `time_s` seconds after the record's first sample.
    #[must_use]
    pub fn at(&self, time_s: f64) -> f64 {
        let wave = |c: &Component| {
            let phase = std::f64::consts::TAU * c.frequency_hz * time_s + c.phase_rad;
            c.amplitude * (-c.decay_per_s * time_s).exp() * phase.cos()
        };
        self.dc + self.drift_per_s * time_s + self.components.iter().map(wave).sum::<f64>()
    }
}

/// Whether the residual looks like noise.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Residual {
    /// Nothing is left but noise.
    Noise,
    /// Something is left that a further mode would explain: standard deviations may be too small.
    Structured,
}

/// How well the model describes the records.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Goodness {
    /// Whether the residual looks like noise: decided by `structure_p_value` against 0.001.
    pub residual: Residual,
    /// Probability that pure white noise lets one more mode explain as much as it does here (F test, times the number of modes tried).
    pub structure_p_value: f64,
    /// What one more mode would explain, root mean square over the first mode's life, relative to that mode.
    pub misfit: f64,
    /// Residual root mean square in the first 1.5 time constants over that in the rest; one for white noise.
    pub early_to_late: f64,
    /// Correlation of neighbouring residuals; zero for white noise.
    pub lag_one: f64,
    /// Part of the energy about the mean that the model explains.
    pub explained: f64,
}

/// What limits a fit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum FitWarning {
    /// The longest record spans less than two time constants: errors double at one.
    ShortRecord {
        /// Its length in time constants.
        length_tau: f64,
    },
    /// A second mode is comparable to the first: which one is the ring is not certain.
    ComparableModes {
        /// Energy of the second over that of the first.
        energy_ratio: f64,
    },
    /// The first samples did not belong to the free decay and were left out.
    StartedEarly {
        /// Number of samples left out of each record.
        skipped_samples: usize,
    },
}

/// Resonance and Q of a ring with what they rest on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RingDownFit {
    /// The mode with the most energy.
    pub mode: Mode,
    /// The other mode, if the residual demanded one.
    pub second: Option<Mode>,
    /// Standard deviation of the noise, from the residual, in the samples' unit.
    pub noise_rms: f64,
    /// Power of the mode at the first sample over the noise, `A²/2σ²`, decibels.
    pub snr_db: f64,
    /// How well the model describes the records.
    pub goodness: Goodness,
    /// What limits the fit.
    pub warnings: Vec<FitWarning>,
    /// The fitted curves, one for each record.
    pub records: Vec<FittedRecord>,
    /// Sum of squared residuals.
    pub residual_squares: f64,
    /// Samples minus fitted parameters.
    pub degrees_of_freedom: f64,
}

impl RingDownFit {
    /// Samples at the start of each record that did not belong to the free decay and were left out.
    #[must_use]
    pub fn skipped_samples(&self) -> usize {
        let skipped = self.warnings.iter().map(|warning| match warning {
            FitWarning::StartedEarly { skipped_samples } => *skipped_samples,
            _ => 0,
        });
        skipped.sum()
    }
}
