use num_complex::Complex32;

use super::deviation::Deviation;
use crate::dsp::{LowPass, fourier};

/// Everything nearer to the carrier than this is hum, drift or phase noise.
pub(super) const HIGH_PASS_HZ: f64 = 500.0;
/// The upper edge of the band, as a fraction of the rate of the deviation.
pub(super) const UPPER_EDGE: f64 = 0.4;
/// The mirror images at the two ends of the stretch fade out over this time, or over this share of a short stretch.
const JOIN_S: f64 = 8e-3;
const JOIN_SHARE: f64 = 0.1;
const JOIN_MIN: usize = 64;

/// A brick-wall filter from a high pass to the upper edge on both sides of the carrier, which also takes out the slope
/// of the decimating filter. Gentler filters let hum through.
pub(super) struct BandPass {
    slope: Slope,
    rate_hz: f64,
    high_pass_hz: f64,
}

impl BandPass {
    /// The filter for values of `deviation`, at `rate_hz`, that leaves everything above `high_pass_hz`.
    pub(super) fn new(deviation: &Deviation, rate_hz: f64, high_pass_hz: f64) -> Self {
        Self::of_filter(
            deviation.low_pass.as_ref(),
            deviation.step,
            rate_hz,
            high_pass_hz,
        )
    }

    /// The filter for values that went through `low_pass` and a decimation.
    pub(super) fn of_filter(
        low_pass: Option<&LowPass>,
        decimation: f64,
        rate_hz: f64,
        high_pass_hz: f64,
    ) -> Self {
        Self {
            slope: Slope::of(low_pass, decimation),
            rate_hz,
            high_pass_hz,
        }
    }

    /// The filtered spectrum of `values`.
    ///
    /// So that the ends do not ring, each is continued by its mirror image through the end point, which fades out.
    pub(super) fn band(&self, mut values: Vec<Complex32>) -> Band {
        let length = values.len();
        let joined = join_ends(&mut values, self.join(length));
        fourier::forward(&mut values);
        self.shape(&mut values);
        Band {
            bins: values,
            length,
            noise_length: length as f64 + joined,
        }
    }

    /// Real `values` filtered, with `factor` times as many values, and twice the noise power of a value before that.
    ///
    /// The two halves of the signal go through one transform as the two parts of a complex signal, which the filter
    /// keeps apart. Each half reaches into the other by as much as the filter needs.
    pub(super) fn real(&self, values: &[f32], factor: usize) -> (Vec<f32>, f64) {
        let length = values.len();
        let half = (length.div_ceil(2) + self.join(length)).min(length);
        let skipped = length - half;
        let pairs = values[..half]
            .iter()
            .zip(&values[skipped..])
            .map(|(&first, &second)| Complex32::new(first, second));
        let band = self.band(pairs.collect());
        let noise_power = band.noise_power();
        let filtered = band.into_time(factor);
        let split = (length / 2) * factor;
        let (first, second) = (&filtered[..split], &filtered[split - skipped * factor..]);
        let mut values = Vec::with_capacity(length * factor);
        values.extend(first.iter().map(|pair| pair.re));
        values.extend(second.iter().map(|pair| pair.im));
        (values, noise_power)
    }

    fn join(&self, length: usize) -> usize {
        ((JOIN_S * self.rate_hz).min(JOIN_SHARE * length as f64) as usize).max(JOIN_MIN)
    }

    fn shape(&self, bins: &mut [Complex32]) {
        let count = bins.len();
        let last = ((UPPER_EDGE * count as f64) as usize).min((count - 1) / 2);
        self.slope.flatten(bins, last);
        clear_below(bins, self.high_pass_hz / self.rate_hz);
        bins[last + 1..count - last].fill(Complex32::default());
    }
}

/// Clears the bins on both sides of 0 that lie below `frequency`, in cycles per value.
fn clear_below(bins: &mut [Complex32], frequency: f64) {
    let count = bins.len();
    let first = ((frequency * count as f64).ceil().max(0.0) as usize).min(count);
    bins[..first].fill(Complex32::default());
    if first > 0 {
        bins[count + 1 - first..].fill(Complex32::default());
    }
}

/// The part of `values` below `frequency`, in cycles per value: what a high pass takes from them.
pub(super) fn low_part(values: &[f32], frequency: f64) -> Vec<f32> {
    let length = values.len();
    let mut bins: Vec<Complex32> = values.iter().copied().map(Complex32::from).collect();
    let fade = ((JOIN_SHARE * length as f64) as usize).max(JOIN_MIN);
    join_ends(&mut bins, fade);
    fourier::forward(&mut bins);
    let count = bins.len();
    let first = ((frequency * count as f64).ceil().max(0.0) as usize).min(count / 2);
    bins[first..(count + 1 - first).min(count)].fill(Complex32::default());
    fourier::inverse(&mut bins);
    let scale = 1.0 / count as f32;
    bins[..length]
        .iter()
        .map(|value| scale * value.re)
        .collect()
}

/// The filtered spectrum, divided by its length.
pub(super) struct Band {
    bins: Vec<Complex32>,
    /// How many values of the spectrum's length are signal.
    length: usize,
    /// How many values of noise there are, the smooth join counted by its weight.
    noise_length: f64,
}

impl Band {
    /// Clears everything nearer to the carrier than `frequency`, in cycles per value.
    pub(super) fn high_pass(&mut self, frequency: f64) {
        clear_below(&mut self.bins, frequency);
    }

    /// The noise power of one complex value, as if the noise were white.
    pub(super) fn noise_power(&self) -> f64 {
        self.noise_bin() / self.noise_length.max(1.0)
    }

    /// The noise power of one bin of the transform, from the median of the spectrum away from the carrier.
    pub(super) fn noise_bin(&self) -> f64 {
        let count = self.bins.len();
        let mut powers: Vec<f32> = (count / 10..count * 2 / 5)
            .step_by(1 + count / (1 << 13))
            .flat_map(|index| [index, count - index])
            .map(|index| self.bins[index].norm_sqr())
            .collect();
        if powers.is_empty() {
            return 0.0;
        }
        let middle = powers.len() / 2;
        let (_, median, _) = powers.select_nth_unstable_by(middle, f32::total_cmp);
        self.scale() * f64::from(*median) / std::f64::consts::LN_2
    }

    /// The power of every bin of the transform.
    pub(super) fn powers(&self) -> Powers<'_> {
        Powers {
            bins: &self.bins,
            scale: self.scale(),
        }
    }

    fn scale(&self) -> f64 {
        (self.bins.len() as f64).powi(2)
    }

    /// The deviation in time, with `factor` times as many values.
    pub(super) fn into_time(self, factor: usize) -> Vec<Complex32> {
        let count = self.bins.len();
        let half = count / 2;
        let mut values = self.bins;
        if factor > 1 {
            values.resize(count * factor, Complex32::default());
            let negative = count * factor - (count - half);
            values.copy_within(half..count, negative);
            values[half..count].fill(Complex32::default());
        }
        fourier::inverse(&mut values);
        values.truncate(self.length * factor);
        values
    }
}

/// Bins on each side that belong to a line.
pub(super) const LINE_BINS: usize = 2;

/// The powers of the bins of a transform: frequencies from 0 up, then the negative ones.
#[derive(Clone, Copy)]
pub(super) struct Powers<'a> {
    bins: &'a [Complex32],
    scale: f64,
}

impl Powers<'_> {
    pub(super) const fn len(&self) -> usize {
        self.bins.len()
    }

    /// The power in a bin, counted round the circle.
    pub(super) fn at(&self, bin: usize) -> f64 {
        self.scale * f64::from(self.bins[bin % self.bins.len()].norm_sqr())
    }

    /// The power of a line at a bin.
    pub(super) fn around(&self, bin: usize) -> f64 {
        let first = bin + self.bins.len() - LINE_BINS;
        (first..=first + 2 * LINE_BINS)
            .map(|bin| self.at(bin))
            .sum()
    }

    /// The bins from `first` on with more than `least`.
    pub(super) fn above(&self, first: usize, least: f64) -> impl Iterator<Item = usize> {
        let least = (least / self.scale) as f32;
        let runs = self.bins.chunks(RUN).enumerate();
        runs.filter(move |(_, run)| most(run) > least)
            .flat_map(move |(index, run)| {
                let bins = (RUN * index..).zip(run);
                bins.filter(move |&(bin, value)| bin >= first && value.norm_sqr() > least)
            })
            .map(|(bin, _)| bin)
    }
}

/// Bins that are looked at in one go: most runs hold noise alone.
const RUN: usize = 64;

/// The largest power of some bins.
fn most(bins: &[Complex32]) -> f32 {
    const LANES: usize = 8;
    let (groups, rest) = bins.as_chunks::<LANES>();
    let mut most = [0.0_f32; LANES];
    for group in groups {
        for (most, bin) in most.iter_mut().zip(group) {
            let power = bin.norm_sqr();
            *most = if power > *most { power } else { *most };
        }
    }
    let rest = rest.iter().map(Complex32::norm_sqr);
    most.into_iter().chain(rest).fold(0.0, f32::max)
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
    const POINTS: usize = 16;

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

    /// Takes the slope out of the bins up to `last` on both sides of 0, and divides them by their number.
    fn flatten(&self, bins: &mut [Complex32], last: usize) {
        let count = bins.len();
        let bins_a_point = UPPER_EDGE * count as f64 / Self::POINTS as f64;
        let scale = 1.0 / count as f64;
        for (point, pair) in self.corrections.windows(2).enumerate() {
            let first = (point as f64 * bins_a_point).ceil() as usize;
            let end = ((point + 1) as f64 * bins_a_point).ceil() as usize;
            let end = end.min(last + 1);
            if first > last {
                break;
            }
            let rise = scale * (pair[1] - pair[0]) / bins_a_point;
            let begin = scale * pair[0] + rise * (first as f64 - point as f64 * bins_a_point);
            let gains = |k: i32| begin as f32 + rise as f32 * k as f32;
            for (k, bin) in (0..).zip(&mut bins[first..end]) {
                *bin *= gains(k);
            }
            // Bin 0 has no mirror image.
            let mirrored = count + 1 - end..count + usize::from(first > 0) - first;
            for (k, bin) in (i32::from(first == 0)..).zip(bins[mirrored].iter_mut().rev()) {
                *bin *= gains(k);
            }
        }
    }
}
