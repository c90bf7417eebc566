use num_complex::Complex32;

use super::sequence::{Smear, Weighed};
use super::timing;
use crate::dsp::{ComplexSums, RunningSum};

/// How often the pulse is fitted anew with the symbols that the last fit gave.
const FITS: usize = 2;

/// The symbols of a signal on one bit clock.
pub(super) struct Taken {
    /// Start of the first symbol, in values.
    pub start: f64,
    period: f64,
    /// First half-bit less second, halved: ± the deviation; neighbours are weighed where they reach into each other.
    pub symbols: Vec<f32>,
    /// Variance of one symbol by the noise of the band.
    pub noise_variance: f64,
    pub weighed: Option<Weighed>,
    /// Noise power of one value along the axis.
    value_power: f64,
}

impl Taken {
    /// The symbols of a signal that nothing smears.
    pub(super) fn plain(values: &[f32], period: f64, noise_variance: f64) -> Self {
        let sums = RunningSum::of(values);
        let start = timing::with_part(timing::best_start(&sums, period), period);
        let symbols = timing::symbols(&sums, start, period).map(|m| m as f32);
        Self {
            symbols: symbols.collect(),
            start,
            period,
            noise_variance,
            weighed: None,
            value_power: noise_variance * period,
        }
    }

    /// Whether something smears the values along an axis that these symbols were taken from.
    pub(super) fn is_smeared(&self, values: &[f32]) -> bool {
        let values: Vec<Complex32> = values.iter().copied().map(Complex32::from).collect();
        self.fit(&ComplexSums::of(&values), self.value_power)
            .is_some()
    }

    /// The symbols behind the filter matched to the smearing, given both parts of the signal, and the smearing.
    pub(super) fn behind_ring(self, values: &[Complex32]) -> (Self, Option<Smear>) {
        let sums = ComplexSums::of(values);
        let (variance, value_power) = (self.noise_variance, self.value_power);
        let (mut taken, mut found) = (self, None);
        for _ in 0..FITS {
            let Some(smear) = taken.fit(&sums, 2.0 * value_power) else {
                break;
            };
            taken = Self::behind(&smear, values, taken.period, variance);
            found = Some(smear);
        }
        (taken, found)
    }

    /// The symbols behind the filter matched to a known smearing.
    pub(super) fn behind(
        smear: &Smear,
        values: &[Complex32],
        period: f64,
        noise_variance: f64,
    ) -> Self {
        let matched = smear.matched(values, period);
        Self::plain(&matched, period, noise_variance / smear.energy()).weigh(smear)
    }

    fn weigh(mut self, smear: &Smear) -> Self {
        let (weighed, symbols) = Weighed::of(self.symbols, smear.echoes(), self.noise_variance);
        self.symbols = symbols;
        self.weighed = Some(weighed);
        self
    }

    /// The smearing of a signal with these symbols, given the noise power of its values.
    fn fit(&self, sums: &ComplexSums, value_power: f64) -> Option<Smear> {
        let (amplitude, variance) = self.size();
        let known: Vec<f32> = self
            .symbols
            .iter()
            .map(|&m| (f64::from(m) * amplitude / variance).tanh() as f32)
            .collect();
        Smear::fit(sums, (self.start, self.period), &known, value_power)
    }

    /// Amplitude and variance of the symbols.
    fn size(&self) -> (f64, f64) {
        if let Some(weighed) = &self.weighed {
            return (weighed.amplitude, weighed.variance);
        }
        let count = self.symbols.len().max(1) as f64;
        let square = self
            .symbols
            .iter()
            .map(|&m| f64::from(m).powi(2))
            .sum::<f64>()
            / count;
        let mean = self
            .symbols
            .iter()
            .map(|&m| f64::from(m).abs())
            .sum::<f64>()
            / count;
        let amplitude = (square - self.noise_variance).max(0.1 * square).sqrt();
        (
            amplitude,
            self.noise_variance.max(square - mean * mean).max(1e-30),
        )
    }
}
