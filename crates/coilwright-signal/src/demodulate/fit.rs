use super::key::ratio_of;
use super::model::CodeReading;
use super::way::Way;
use super::weight::Seen;
use crate::code::Expected;
use crate::frame::soft::{Coding, Repetition, SoftValues};

/// Half-bits as a way reads them.
pub(super) struct Fit {
    pub way: Way,
    /// Deviation of the levels, and variance of a half-bit round them.
    pub amplitude: f64,
    pub variance: f64,
    /// Log-likelihood ratios of the half-bits.
    ratios: Vec<f32>,
    pub expected: Expected,
}

impl Fit {
    /// The fit to half-bits of this variance round their levels, if it has at least this evidence.
    pub(super) fn of(way: Way, values: &[f32], variance: f64, least_evidence: f64) -> Option<Self> {
        let amplitude = mean_size(values);
        let ratios = ratios(values, amplitude, variance);
        (way.evidence(&ratios) >= least_evidence)
            .then(|| Self::with(way, ratios, amplitude, variance))
    }

    pub(super) fn with(way: Way, ratios: Vec<f32>, amplitude: f64, variance: f64) -> Self {
        Self {
            expected: way.expected(&ratios),
            way,
            amplitude,
            variance,
            ratios,
        }
    }

    /// Amplitude and variance as the levels show them that these half-bits probably have: a round of expectation
    /// maximisation.
    pub(super) fn learnt(&self, values: &[f32], noise_variance: f64) -> (f64, f64) {
        let count = values.len().max(1) as f64;
        let (mut along, mut square) = (0.0, 0.0);
        for (&value, &level) in values.iter().zip(&self.expected.levels) {
            along += f64::from(value) * f64::from(level);
            square += f64::from(value).powi(2);
        }
        let amplitude = along / count;
        let variance = square / count - amplitude * amplitude;
        (amplitude.max(0.0), variance.max(noise_variance))
    }

    /// What it costs to name the levels, in natural units: how far the probabilities that they have are from those by the code
    /// alone.
    fn cost(&self) -> f64 {
        let of_half_bit = |(&ratio, &level): (&f32, &f32)| {
            let half = 0.5 * f64::from(ratio).abs();
            let ln_cosh = half + (-2.0 * half).exp().ln_1p() - std::f64::consts::LN_2;
            0.5 * f64::from(ratio) * f64::from(level) - ln_cosh
        };
        let parts = self.ratios.iter().zip(&self.expected.levels);
        parts.map(of_half_bit).sum::<f64>() - self.expected.evidence
    }

    pub(super) fn weight(&self, seen: &Seen<'_>) -> f64 {
        seen.weight(&self.expected.levels, self.cost())
    }

    /// The weight at the best timing, by which different bit lengths are compared.
    pub(super) fn timed_weight(&self, seen: &Seen<'_>) -> f64 {
        seen.timed_weight(&self.expected.levels, self.cost())
    }

    pub(super) fn ratio(&self) -> f32 {
        ratio_of(self.amplitude, self.variance)
    }

    pub(super) fn soft_bits(&self) -> Vec<f32> {
        self.way.soft_bits(&self.ratios)
    }

    pub(super) fn reading(&self, clocks_per_bit: u32) -> Option<CodeReading> {
        Some(CodeReading {
            line_code: self.way.code()?,
            clocks_per_bit: self.way.clocks(clocks_per_bit),
            evidence: self.expected.evidence,
            repetition: Repetition::of(&direct(&self.soft_bits())),
        })
    }
}

pub(super) fn mean_size(values: &[f32]) -> f64 {
    let sizes = values.iter().map(|&value| f64::from(value).abs());
    sizes.sum::<f64>() / values.len().max(1) as f64
}

pub(super) fn ratios(values: &[f32], amplitude: f64, variance: f64) -> Vec<f32> {
    let ratio = ratio_of(amplitude, variance);
    values.iter().map(|value| ratio * value).collect()
}

pub(super) fn direct(ratios: &[f32]) -> SoftValues<'_> {
    SoftValues {
        ratios,
        coding: Coding::Direct,
    }
}
