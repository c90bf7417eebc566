use num_complex::Complex32;

use super::axis;
use super::band::{BandPass, HIGH_PASS_HZ};
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

/// The place of filtered values in the stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Grid {
    /// Values a second.
    pub rate_hz: f64,
    /// Input samples from one value to the next.
    pub step: f64,
    first: f64,
}

impl Grid {
    fn of(deviation: &Deviation, sample_rate_hz: f64, sampling: Sampling) -> Self {
        let step = deviation.step / sampling.factor as f64;
        Self {
            rate_hz: sample_rate_hz / step,
            step,
            first: deviation.first,
        }
    }

    /// Position in samples, from the start of the stretch, of a time in values: a sample's place is its middle, and
    /// value k lasts from k to k + 1.
    pub(super) fn position(&self, t: f64) -> f64 {
        (t - 0.5) * self.step + self.first - 0.5
    }
}

/// Both parts of the deviation in time, cleaned of hum, drift and lines.
pub(super) struct Signal {
    pub values: Vec<Complex32>,
    pub grid: Grid,
    /// Noise power of both parts together per hertz, relative to the carrier's.
    pub noise_per_hz: f64,
    /// Lines that were taken out.
    pub lines: Vec<Line>,
}

impl Signal {
    pub(super) fn of(
        mut deviation: Deviation,
        sample_rate_hz: f64,
        sampling: Sampling,
        bit_rates_hz: &[f64],
    ) -> Self {
        let grid = Grid::of(&deviation, sample_rate_hz, sampling);
        let rate_hz = sample_rate_hz / deviation.step;
        let filter = BandPass::new(&deviation, rate_hz, sampling.high_pass_hz);
        let mut band = filter.band(deviation.values.clone());
        let starts = lines::find(&band, deviation.values.len(), rate_hz, bit_rates_hz);
        let lines = lines::remove(&mut deviation.values, &starts, rate_hz);
        if !lines.is_empty() {
            band = filter.band(deviation.values);
        }
        Self {
            values: band.to_time(sampling.factor),
            grid,
            noise_per_hz: band.noise_power() / rate_hz,
            lines,
        }
    }
}

/// The part of the deviation along an axis, cleaned of hum, drift and lines.
pub(super) struct Along {
    pub values: Vec<f32>,
    pub grid: Grid,
}

impl Along {
    /// The part along `axis_rad` of a deviation from which `lines` are taken out first.
    pub(super) fn of(
        mut deviation: Deviation,
        sample_rate_hz: f64,
        sampling: Sampling,
        axis_rad: f64,
        lines: &[Line],
    ) -> Self {
        let rate_hz = sample_rate_hz / deviation.step;
        let starts: Vec<f64> = lines.iter().map(|line| line.offset_hz / rate_hz).collect();
        lines::remove(&mut deviation.values, &starts, rate_hz);
        let filter = BandPass::new(&deviation, rate_hz, sampling.high_pass_hz);
        let values = filter.real(&axis::project(&deviation.values, axis_rad), sampling.factor);
        Self {
            values,
            grid: Grid::of(&deviation, sample_rate_hz, sampling),
        }
    }
}
