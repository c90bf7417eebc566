use std::borrow::Cow;

use num_complex::Complex32;

use super::axis;
use super::band::{BandPass, HIGH_PASS_HZ};
use super::deviation::{Deviation, Stretch};
use super::model::{Line, Plane};
use super::{harmonics, lines};
use crate::carrier::SignalKind;

/// Values a bit that decoding needs: the matched filter then loses 0.14 dB.
const VALUES_PER_BIT: f64 = 32.0;
/// A carrier slightly above its nominal frequency does not cost a finer sampling.
const TOLERANCE: f64 = 1.03;
/// The high pass keeps at least this far below the bit rate.
const HIGH_PASS_OF_BIT_RATE: f64 = 0.14;

/// Noise is never taken to be less than what single precision makes of a value of 1 after some steps.
const ROUNDING_POWER: f64 = 1e-13;
/// Lines are looked for from here on, also below the high pass: what leaks from a strong one is worse than itself.
const LINES_FROM_HZ: f64 = 25.0;
/// A strong line can hide weaker ones.
const LINE_ROUNDS: usize = 3;

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
        let ratio = TOLERANCE * stretch.sample_rate_hz / (VALUES_PER_BIT * bit_rate_hz);
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

    /// The grid of values that begin at time `start` and last `length` values of this one each.
    pub(super) fn resampled(&self, start: f64, length: f64) -> Self {
        let step = self.step * length;
        Self {
            rate_hz: self.rate_hz / length,
            step,
            // So that time 0 has the position that `start` had.
            first: self.position(start) + 0.5 + 0.5 * step,
        }
    }

    /// Time in values of a position in samples, the inverse of [`Grid::position`].
    pub(super) fn time(&self, position: f64) -> f64 {
        (position + 0.5 - self.first) / self.step + 0.5
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
    /// Harmonics of the drive that were taken out.
    pub harmonics: Vec<Line>,
}

impl Signal {
    pub(super) fn of(
        deviation: &Deviation,
        stretch: &Stretch<'_>,
        sampling: Sampling,
        bit_rates_hz: &[f64],
    ) -> Self {
        let grid = Grid::of(deviation, stretch.sample_rate_hz, sampling);
        let rate_hz = stretch.sample_rate_hz / deviation.step;
        let filter = BandPass::new(deviation, rate_hz, LINES_FROM_HZ);
        let mut values = Cow::Borrowed(&deviation.values);
        let mut band = filter.band(values.to_vec());
        let mut places = harmonics::places(stretch, deviation);
        places.retain(|place| place.abs() * rate_hz > sampling.high_pass_hz);
        let standing = harmonics::standing_out(&band, &places, rate_hz);
        let mut harmonics = Vec::new();
        // What is only near a place, as another line may be, must go as it is.
        if !standing.is_empty() {
            harmonics = harmonics::remove(values.to_mut(), &standing, rate_hz);
            band = filter.band(values.to_vec());
        }
        let mut lines = Vec::new();
        for _ in 0..LINE_ROUNDS {
            let starts = lines::find(&band, rate_hz, bit_rates_hz);
            if starts.is_empty() {
                break;
            }
            lines.extend(lines::remove(values.to_mut(), &starts, rate_hz));
            band = filter.band(values.to_vec());
        }
        drop(values);
        band.high_pass(sampling.high_pass_hz / rate_hz);
        Self {
            noise_per_hz: band.noise_power().max(ROUNDING_POWER) / rate_hz,
            values: band.into_time(sampling.factor),
            grid,
            lines,
            harmonics,
        }
    }

    /// The signal in the place of the capture where its stretch begins at `start`.
    pub(super) fn plane(&self, start: u64) -> Plane {
        Plane {
            values: self.values.clone(),
            first: start as f64 + self.grid.position(0.5),
            step: self.grid.step,
        }
    }

    /// The signal without anything at the places of harmonics that is above the noise, be it modulation or not; `None` where
    /// there is nothing.
    ///
    /// Harmonics closer to each other than a short stretch resolves stand out of nothing, but still look modulated.
    pub(super) fn without_harmonics(
        deviation: &Deviation,
        stretch: &Stretch<'_>,
        sampling: Sampling,
    ) -> Option<Self> {
        let grid = Grid::of(deviation, stretch.sample_rate_hz, sampling);
        let rate_hz = stretch.sample_rate_hz / deviation.step;
        let filter = BandPass::new(deviation, rate_hz, LINES_FROM_HZ);
        let mut values = deviation.values.clone();
        let band = filter.band(values.clone());
        let noise_power = band.noise_power().max(ROUNDING_POWER);
        let places = harmonics::above_noise(&band, &harmonics::places(stretch, deviation));
        if places.is_empty() {
            return None;
        }
        let harmonics = harmonics::remove(&mut values, &places, rate_hz);
        let mut band = filter.band(values);
        band.high_pass(sampling.high_pass_hz / rate_hz);
        Some(Self {
            values: band.into_time(sampling.factor),
            grid,
            noise_per_hz: noise_power / rate_hz,
            lines: Vec::new(),
            harmonics,
        })
    }

    /// Takes what was taken out of this signal out of another deviation of the same stretch.
    fn clean(&self, values: &mut [Complex32], rate_hz: f64) {
        let places = |lines: &[Line]| -> Vec<f64> {
            lines.iter().map(|line| line.offset_hz / rate_hz).collect()
        };
        harmonics::remove(values, &places(&self.harmonics), rate_hz);
        lines::remove(values, &places(&self.lines), rate_hz);
    }
}

/// The part of the deviation along an axis, cleaned of hum, drift and lines.
pub(super) struct Along {
    pub values: Vec<f32>,
    pub grid: Grid,
    /// Noise power of both parts per hertz, at some bit rates from the carrier.
    pub noise_per_hz: f64,
}

impl Along {
    /// The part along `axis_rad` of a deviation of the stretch that `signal` is from, cleaned of the same lines.
    pub(super) fn of(
        deviation: &Deviation,
        sample_rate_hz: f64,
        sampling: Sampling,
        axis_rad: f64,
        signal: &Signal,
    ) -> Self {
        let rate_hz = sample_rate_hz / deviation.step;
        let projected = if signal.lines.is_empty() && signal.harmonics.is_empty() {
            axis::project(&deviation.values, axis_rad)
        } else {
            let mut cleaned = deviation.values.clone();
            signal.clean(&mut cleaned, rate_hz);
            axis::project(&cleaned, axis_rad)
        };
        let filter = BandPass::new(deviation, rate_hz, sampling.high_pass_hz);
        let (values, noise_power) = filter.real(&projected, sampling.factor);
        Self {
            values,
            noise_per_hz: noise_power.max(ROUNDING_POWER) / rate_hz,
            grid: Grid::of(deviation, sample_rate_hz, sampling),
        }
    }
}

/// Both parts of the deviation, cleaned in the same way.
pub(super) struct BothParts<'a> {
    pub values: Cow<'a, [Complex32]>,
    pub grid: Grid,
    /// Noise power of both parts per hertz, at some bit rates from the carrier.
    pub noise_per_hz: f64,
}

impl<'a> BothParts<'a> {
    /// Those of a signal.
    pub(super) fn of_signal(signal: &'a Signal) -> Self {
        Self {
            values: Cow::Borrowed(&signal.values),
            grid: signal.grid,
            noise_per_hz: signal.noise_per_hz,
        }
    }

    /// Those of a deviation of the stretch that `signal` is from.
    pub(super) fn of(
        deviation: &Deviation,
        sample_rate_hz: f64,
        sampling: Sampling,
        signal: &Signal,
    ) -> Self {
        let rate_hz = sample_rate_hz / deviation.step;
        let mut values = deviation.values.clone();
        signal.clean(&mut values, rate_hz);
        let filter = BandPass::new(deviation, rate_hz, sampling.high_pass_hz);
        let band = filter.band(values);
        Self {
            noise_per_hz: band.noise_power().max(ROUNDING_POWER) / rate_hz,
            values: band.into_time(sampling.factor).into(),
            grid: Grid::of(deviation, sample_rate_hz, sampling),
        }
    }

    /// The part along an axis.
    pub(super) fn along(&self, axis_rad: f64) -> Along {
        Along {
            values: axis::project(&self.values, axis_rad),
            grid: self.grid,
            noise_per_hz: self.noise_per_hz,
        }
    }
}
