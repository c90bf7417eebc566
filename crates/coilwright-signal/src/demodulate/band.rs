use num_complex::Complex32;

use super::deviation::Deviation;
use crate::dsp::{LowPass, fourier};

/// Everything nearer to the carrier than this is hum, drift or phase noise.
pub(super) const HIGH_PASS_HZ: f64 = 500.0;
/// The upper edge of the band, as a fraction of the rate of the deviation.
const UPPER_EDGE: f64 = 0.4;
/// The two ends of the stretch are joined smoothly over at least this time.
const JOIN_S: f64 = 8e-3;
const JOIN_MIN: usize = 64;

/// The spectrum of the deviation between the high pass and the upper edge, with the filter's slope taken out.
pub(super) struct Band {
    bins: Vec<Complex32>,
    /// How many values of the spectrum's length are signal.
    length: usize,
    /// How many values of noise there are, the smooth join counted by its weight.
    noise_length: f64,
}

impl Band {
    /// The band of `deviation`, sampled at `rate_hz`, above `high_pass_hz` on both sides.
    ///
    /// A brick-wall filter, because gentler ones let hum through. So that the ends do not ring, each is continued
    /// by its mirror image through the end point and the two continuations are faded into one another.
    pub(super) fn of(deviation: &Deviation, rate_hz: f64, high_pass_hz: f64) -> Self {
        let length = deviation.values.len();
        let mut bins = deviation.values.clone();
        let joined = join_ends(&mut bins, ((JOIN_S * rate_hz) as usize).max(JOIN_MIN));
        fourier::forward(&mut bins);
        let mut band = Self {
            bins,
            length,
            noise_length: length as f64 + joined,
        };
        let slope = Slope::of(deviation.low_pass.as_ref(), deviation.step);
        let resolution = rate_hz / band.bins.len() as f64;
        for index in 0..band.bins.len() {
            let frequency_hz = band.signed(index) * resolution;
            let fraction = frequency_hz.abs() / rate_hz;
            let inside = frequency_hz.abs() >= high_pass_hz && fraction <= UPPER_EDGE;
            let gain = if inside {
                slope.correction(fraction)
            } else {
                0.0
            };
            band.bins[index] *= gain;
        }
        band
    }

    /// The noise power of one complex value, from the median of the spectrum away from the carrier.
    pub(super) fn noise_power(&self) -> f64 {
        let count = self.bins.len();
        let mut powers: Vec<f32> = (count / 10..count * 2 / 5)
            .step_by(1 + count / (1 << 14))
            .flat_map(|index| [index, count - index])
            .map(|index| self.bins[index].norm_sqr())
            .collect();
        if powers.is_empty() {
            return 0.0;
        }
        let middle = powers.len() / 2;
        let (_, median, _) = powers.select_nth_unstable_by(middle, f32::total_cmp);
        f64::from(*median) / std::f64::consts::LN_2 / self.noise_length.max(1.0)
    }

    /// The power of every bin: frequencies from 0 up, then the negative ones.
    pub(super) fn powers(&self) -> Vec<f64> {
        self.bins
            .iter()
            .map(|bin| f64::from(bin.norm_sqr()))
            .collect()
    }

    /// The deviation in time, with `factor` times as many values.
    pub(super) fn to_time(&self, factor: usize) -> Vec<Complex32> {
        let count = self.bins.len();
        let half = count / 2;
        let mut values = vec![Complex32::default(); count * factor];
        let scale = 1.0 / count as f32;
        for (index, &bin) in self.bins.iter().enumerate() {
            let target = if index < half {
                index
            } else {
                count * factor - (count - index)
            };
            values[target] = bin * scale;
        }
        fourier::inverse(&mut values);
        values.truncate(self.length * factor);
        values
    }

    fn signed(&self, index: usize) -> f64 {
        let count = self.bins.len();
        if index <= count / 2 {
            index as f64
        } else {
            index as f64 - count as f64
        }
    }
}

/// Appends a smooth way from the last value back to the first, up to a fast length, and returns how many values of
/// noise it weighs.
///
/// Each end goes on as its mirror image through the end point, which fades out over `fade` values, on a smooth step
/// from one end point to the other.
fn join_ends(values: &mut Vec<Complex32>, fade: usize) -> f64 {
    let length = values.len();
    let missing = fourier::fast_length(length + fade) - length;
    let (Some(&first), Some(&last)) = (values.first(), values.last()) else {
        return 0.0;
    };
    let fade = fade.min(missing);
    let mut weight = 0.0;
    for k in 0..missing {
        let from_end = (k < fade)
            .then(|| length.checked_sub(k + 2))
            .flatten()
            .map_or(last, |index| values[index]);
        let to_start = missing - k;
        let from_start = if to_start <= fade && to_start < length {
            values[to_start]
        } else {
            first
        };
        let (after_end, before_start) = (falling(k, fade), falling(to_start, fade));
        let step = falling(k, missing);
        let base = last * step + first * (1.0 - step);
        values.push(base + (last - from_end) * after_end + (first - from_start) * before_start);
        weight += f64::from(after_end.powi(2) + before_start.powi(2));
    }
    weight
}

/// A raised cosine from 1 at 0 to 0 at `length`.
fn falling(k: usize, length: usize) -> f32 {
    if k >= length {
        0.0
    } else {
        0.5 + 0.5 * (std::f32::consts::PI * k as f32 / length as f32).cos()
    }
}

/// What takes the slope of the decimating filter out again.
struct Slope {
    corrections: Vec<f64>,
}

impl Slope {
    const POINTS: usize = 40;

    fn of(low_pass: Option<&LowPass>, decimation: f64) -> Self {
        let correction = |point: usize| {
            let fraction = UPPER_EDGE * point as f64 / Self::POINTS as f64;
            low_pass.map_or(1.0, |filter| {
                filter.gain(0.0) / filter.gain(fraction / decimation).max(0.25)
            })
        };
        Self {
            corrections: (0..=Self::POINTS + 1).map(correction).collect(),
        }
    }

    fn correction(&self, fraction: f64) -> f32 {
        let position = (fraction / UPPER_EDGE).min(1.0) * Self::POINTS as f64;
        let below = position as usize;
        let share = position - below as f64;
        ((1.0 - share) * self.corrections[below] + share * self.corrections[below + 1]) as f32
    }
}
