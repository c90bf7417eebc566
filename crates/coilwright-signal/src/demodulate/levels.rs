//! Keys whose code is told by levels that last: NRZ and Miller.
//!
//! Their spectrum reaches down to the carrier, where hum is, so a high pass that survives hum takes some of it. What it takes
//! is put back from what was read. Only codes that explain the half-bits better than chance are decoded.

use super::band::low_part;
use super::fit::{Fit, direct, mean_size, ratios};
use super::key::{KINDS, Parts, Size};
use super::model::{BitTimes, CodeReading, KeyRead};
use super::way::Way;
use super::weight::Seen;
use crate::dsp::RunningSum;
use crate::frame::soft::{FramesRead, SoftValues, read};

/// A code counts when it explains this share of what half-bits that follow it surely would give.
const LEAST_SHARE: f64 = 0.25;
/// Rounds of finding the middle between the two levels.
const CENTRING_ROUNDS: usize = 4;
/// Rounds of putting back what the high pass took.
const ROUNDS: usize = 6;

/// Half-bits on one clock.
pub(super) struct HalfBits {
    /// Their means, behind a high pass that survives hum.
    pub values: Vec<f32>,
    /// The same behind a high pass so low that it takes next to nothing, where that is known.
    pub low: Option<Vec<f32>>,
    /// Where the high pass lies, in cycles per half-bit.
    pub high_pass: f64,
    /// Variance of a half-bit's mean by the noise of the band.
    pub noise_variance: f64,
    /// When whole bits of the first half-bit on were sent.
    pub times: BitTimes,
    pub clocks_per_bit: u32,
}

/// The means over half-bits of length `half` from `start` on.
pub(super) fn means(sums: &RunningSum, start: f64, half: f64) -> Vec<f32> {
    let count = ((sums.len() as f64 - start) / half).max(0.0) as usize;
    let mut before = sums.up_to(start);
    (1..=count)
        .map(|k| {
            let after = sums.up_to(start + k as f64 * half);
            let mean = (after - before) / half;
            before = after;
            mean as f32
        })
        .collect()
}

/// What line codes say of half-bits.
pub(super) struct Explained {
    /// The codes that explain them, the best first; empty where a frame is found.
    pub readings: Vec<CodeReading>,
    /// The weight of the best.
    pub weight: f64,
    /// The key as that code reads it, if it is one of levels that last.
    pub key: Option<KeyRead>,
}

impl HalfBits {
    /// What the codes say of the half-bits as they are, if the one that explains them best is one whose bits are symbols or lie
    /// between two.
    pub(super) fn symbols(&self, seen: &Seen<'_>) -> Option<Explained> {
        let values = centred(self.values.clone());
        let mut fits: Vec<Fit> = Way::of_codes()
            .filter_map(|way| Fit::of(way, &values, self.noise_variance, self.sure()))
            .collect();
        fits.sort_by(|a, b| b.expected.evidence.total_cmp(&a.expected.evidence));
        let best = fits.first().filter(|fit| !fit.way.is_of_levels())?;
        Some(Explained {
            weight: best.timed_weight(seen),
            readings: self.readings(&fits),
            key: None,
        })
    }

    /// The weight of half-bits at random.
    pub(super) fn at_random(&self, seen: &Seen<'_>) -> f64 {
        self.best_fit(Way::AT_RANDOM, seen)
            .map_or(f64::NEG_INFINITY, |(_, fit)| fit.timed_weight(seen))
    }

    /// What the codes say with what the high pass took put back; `None` where no code explains the half-bits. Frames are
    /// looked for in NRZ and Miller alone.
    pub(super) fn levels(&self, seen: &Seen<'_>) -> Option<Explained> {
        let mut weighed: Vec<(f64, Fit)> = Way::of_codes()
            .filter_map(|way| self.best_fit(way, seen))
            .filter(|(_, fit)| fit.expected.evidence >= self.sure())
            .collect();
        weighed.sort_by(|a, b| b.0.total_cmp(&a.0));
        let weight = weighed.first()?.1.timed_weight(seen);
        let fits: Vec<Fit> = weighed.into_iter().map(|(_, fit)| fit).collect();
        let (of_levels, bits): (Vec<usize>, Vec<Vec<f32>>) = (0..fits.len())
            .filter(|&k| fits[k].way.is_of_levels())
            .map(|k| (k, fits[k].soft_bits()))
            .unzip();
        let sources: Vec<SoftValues<'_>> = bits.iter().map(|bits| direct(bits)).collect();
        let found = read(&sources, &KINDS);
        let chosen = found.as_ref().map_or(0, |found| of_levels[found.source]);
        let readings = match &found {
            Some(_) => Vec::new(),
            None => self.readings(&fits),
        };
        let fit = &fits[chosen];
        let key = fit
            .way
            .is_of_levels()
            .then(|| self.key(fit, found, readings.clone()));
        Some(Explained {
            readings,
            weight,
            key,
        })
    }

    /// The key as a way reads it.
    fn key(&self, fit: &Fit, found: Option<FramesRead>, readings: Vec<CodeReading>) -> KeyRead {
        let ratio = fit.ratio();
        let parts = Parts {
            code: fit.way.code(),
            clocks_per_bit: fit.way.clocks(self.clocks_per_bit),
            size: Size {
                amplitude: fit.amplitude,
                variance: 0.5 * fit.variance,
            },
            noise_variance: 0.5 * self.noise_variance / fit.way.joined() as f64,
            soft_bits: fit
                .soft_bits()
                .iter()
                .map(|value| value / (2.0 * ratio))
                .collect(),
            times: fit.way.times(self.times),
            found,
            readings,
        };
        parts.key()
    }

    fn readings(&self, fits: &[Fit]) -> Vec<CodeReading> {
        fits.iter()
            .filter_map(|fit| fit.reading(self.clocks_per_bit))
            .collect()
    }

    /// The evidence from which a code counts.
    fn sure(&self) -> f64 {
        LEAST_SHARE * std::f64::consts::LN_2 * self.values.len() as f64 / 2.0
    }

    /// The fit of a way to the half-bits with what the high pass took put back, and its weight: of the fits that begin behind
    /// either high pass, the better one. `None` where half-bits at random explain them better to begin with.
    fn best_fit(&self, way: Way, seen: &Seen<'_>) -> Option<(f64, Fit)> {
        let starts = [Some(&self.values), self.low.as_ref()];
        let fits = starts.into_iter().flatten().filter_map(|values| {
            let values = centred(values.clone());
            let fit = self.restored(Fit::of(way, &values, self.spread(&values), 0.0)?);
            Some((fit.weight(seen), fit))
        });
        fits.max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// Variance of half-bits round two levels.
    fn spread(&self, values: &[f32]) -> f64 {
        let count = values.len().max(1) as f64;
        let square = values
            .iter()
            .map(|&value| f64::from(value).powi(2))
            .sum::<f64>()
            / count;
        (square - mean_size(values).powi(2)).max(self.noise_variance)
    }

    /// A fit with what the high pass took from the levels put back (quantised feedback: F. D. Waldhauer, *Bell System Technical
    /// Journal* 53, 1974; from memory).
    fn restored(&self, mut fit: Fit) -> Fit {
        for _ in 0..ROUNDS {
            let low = low_part(&fit.expected.levels, self.high_pass);
            let size = fit.amplitude as f32;
            let parts = self.values.iter().zip(&low);
            let values: Vec<f32> = parts.map(|(value, low)| value + size * low).collect();
            let (amplitude, variance) = fit.learnt(&values, self.noise_variance);
            let ratios = ratios(&values, amplitude, variance);
            fit = Fit::with(fit.way, ratios, amplitude, variance);
        }
        fit
    }
}

/// Values with the middle between their two levels taken off: the mean hangs on how many are high.
fn centred(mut values: Vec<f32>) -> Vec<f32> {
    for _ in 0..CENTRING_ROUNDS {
        let (mut sums, mut counts) = ([0.0_f64; 2], [0.0_f64; 2]);
        for &value in &values {
            let side = usize::from(value > 0.0);
            sums[side] += f64::from(value);
            counts[side] += 1.0;
        }
        if counts[0] == 0.0 || counts[1] == 0.0 {
            break;
        }
        let middle = (0.5 * (sums[0] / counts[0] + sums[1] / counts[1])) as f32;
        for value in &mut values {
            *value -= middle;
        }
    }
    values
}
