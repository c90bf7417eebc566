use num_complex::Complex32;

use super::band::{Band, HIGH_PASS_HZ};
use super::deviation::{Deviation, Stretch};
use super::lines;
use super::model::Line;
use crate::carrier::SignalKind;

/// Values a bit that decoding needs: the matched filter then loses 0.14 dB.
const VALUES_PER_BIT: f64 = 32.0;
/// The high pass keeps at least this far below the bit rate.
const HIGH_PASS_OF_BIT_RATE: f64 = 0.27;

/// How a deviation is brought to at least the wanted number of values a bit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sampling {
    /// Input samples to a value of the deviation.
    pub decimation: usize,
    /// Values that each of those is then interpolated to.
    pub factor: usize,
    /// Where the high pass lies.
    pub high_pass_hz: f64,
}

impl Sampling {
    /// The sampling for bits of `clocks` carrier periods.
    pub(super) fn of(stretch: &Stretch<'_>, clocks: f64) -> Self {
        let bit_rate_hz = stretch.carrier.true_hz / clocks;
        let ratio = stretch.sample_rate_hz / (VALUES_PER_BIT * bit_rate_hz);
        let decimation = match stretch.carrier.kind {
            SignalKind::Envelope => 1,
            _ => (ratio as usize).max(1),
        };
        Self {
            decimation,
            factor: ((decimation as f64 / ratio).ceil().max(1.0) as usize).next_power_of_two(),
            high_pass_hz: HIGH_PASS_HZ.min(HIGH_PASS_OF_BIT_RATE * bit_rate_hz),
        }
    }
}

/// The deviation in time, cleaned of hum, drift and lines.
pub(super) struct Signal {
    pub values: Vec<Complex32>,
    /// Values a second.
    pub rate_hz: f64,
    /// Noise power of one value, both parts together, as if it were white.
    pub noise_power: f64,
    /// Lines that were taken out.
    pub lines: Vec<Line>,
    first: f64,
    step: f64,
}

impl Signal {
    pub(super) fn of(
        mut deviation: Deviation,
        sample_rate_hz: f64,
        sampling: Sampling,
        bit_rates_hz: &[f64],
    ) -> Self {
        let rate_hz = sample_rate_hz / deviation.step;
        let mut band = Band::of(&deviation, rate_hz, sampling.high_pass_hz);
        let lines = lines::remove(&mut deviation, &band, rate_hz, bit_rates_hz);
        if !lines.is_empty() {
            band = Band::of(&deviation, rate_hz, sampling.high_pass_hz);
        }
        let factor = sampling.factor as f64;
        Self {
            values: band.to_time(sampling.factor),
            rate_hz: rate_hz * factor,
            noise_power: band.noise_power() * factor,
            lines,
            first: deviation.first,
            step: deviation.step / factor,
        }
    }

    /// Position in samples, from the start of the stretch, of a time in values: a sample's place is its middle, and
    /// value k lasts from k to k + 1.
    pub(super) fn position(&self, t: f64) -> f64 {
        (t - 0.5) * self.step + self.first - 0.5
    }

    /// Input samples from one value to the next.
    pub(super) fn step(&self) -> f64 {
        self.step
    }
}
