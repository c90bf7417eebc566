use std::f64::consts::TAU;
use std::ops::Range;

use num_complex::Complex64;
use pulp::{Arch, Simd, WithSimd};
use serde::Serialize;

use crate::Span;

/// A gap begins where the level falls below this share of what it was. The load of a key changes it by less than 20 %.
const FALLEN: f64 = 0.70;
/// It ends where the level is above this share again.
const RISEN: f64 = 0.75;
/// Blocks of a carrier cycle that the level is averaged over.
const LEVEL_BLOCKS: f64 = 16.0;
/// The field must have been on for so many cycles before a gap counts.
const SETTLED: usize = 12;
/// The field is on from this share of the largest level seen.
const ON_SHARE: f64 = 0.35;
/// A longer loss, in carrier cycles, is no gap of a message: the longest that is published is the start gap of 50 (T5557
/// data sheet 4517E, p. 8), and the ring takes some time to come back.
const LONGEST: usize = 64;
/// The edges are looked for in the amplitude over so many cycles, in steps of so many to a cycle.
const WINDOW_CYCLES: f64 = 2.0;
const STEPS: f64 = 8.0;
/// Cycles before and after the first estimate in which an edge is looked for.
const ROUND: f64 = 4.0;
/// A first look takes one block in so many, half the length of the shortest gap that is published (8 cycles, T5557 data
/// sheet 4517E, p. 8) ...
const FIRST_LOOK: usize = 4;
/// ... and looks no closer where the lowest of them is above this share of the highest.
const STEADY: f32 = 0.85;
/// Fewer samples than this to a carrier cycle show no edge.
const LEAST_SAMPLES: f64 = 2.5;
/// Gaps of one call that are kept; more belong to no message.
const GAPS_AT_MOST: usize = 65_536;

/// A short loss of the field.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Gap {
    /// Where the level has fallen halfway, in samples from the start of the capture.
    pub start: f64,
    /// Where it has come back halfway.
    pub end: f64,
    /// The level that is left in the gap over the level before it.
    pub level_ratio: f64,
}

impl Gap {
    /// Returns the samples of the gap.
    #[must_use]
    pub fn span(&self) -> Span {
        Span::new(self.start.round() as u64, self.end.round() as u64)
    }
}

/// Returns the short gaps of the field in real samples, in order of time.
///
/// `first_sample` is the place of the samples in the capture, `top` the largest amplitude of the carrier seen so far: what
/// stays below 35 % of it is no field. A gap begins and ends within the samples and lasts at most 64 carrier cycles. The ring
/// smears both edges, the same for equal gaps, so distances from edge to edge are better than lengths.
///
/// A carrier with fewer than 2.5 samples a cycle gives none.
///
/// ```
/// use coilwright_signal::downlink::gaps;
/// let on = |n: u32| !(4_000..4_064).contains(&n);
/// let samples: Vec<f32> = (0..8_000)
///     .map(|n| if on(n) { (f64::from(n) * 0.125 * std::f64::consts::TAU).cos() as f32 } else { 0.0 })
///     .collect();
/// let found = gaps(&samples, 0, 0.125, 1.0);
/// assert_eq!(found.len(), 1);
/// assert!((found[0].start - 4_000.0).abs() < 4.0 && (found[0].end - 4_064.0).abs() < 4.0);
/// ```
#[must_use]
pub fn gaps(samples: &[f32], first_sample: u64, cycles_per_sample: f64, top: f32) -> Vec<Gap> {
    let cycle = cycles_per_sample.recip();
    if !cycle.is_finite() || cycle < LEAST_SAMPLES {
        return Vec::new();
    }
    let block = cycle.ceil() as usize;
    let (least, most) = extremes(&peaks(samples, block, FIRST_LOOK));
    if least > STEADY * most {
        return Vec::new();
    }
    let peaks = peaks(samples, block, 1);
    let envelope = Envelope {
        samples,
        cycles_per_sample,
    };
    losses(&peaks, ON_SHARE * f64::from(top))
        .into_iter()
        .take(GAPS_AT_MOST)
        .filter_map(|loss| envelope.gap(loss.start * block..loss.end * block))
        .map(|gap| Gap {
            start: gap.start + first_sample as f64,
            end: gap.end + first_sample as f64,
            ..gap
        })
        .collect()
}

/// The largest magnitude in one block of each `stride` whole ones.
fn peaks(samples: &[f32], block: usize, stride: usize) -> Vec<f32> {
    let mut found = vec![0.0; samples.len() / (stride * block)];
    Arch::new().dispatch(Peaks {
        samples,
        block,
        stride,
        found: &mut found,
    });
    found
}

/// The least and the largest of values that are not negative.
fn extremes(values: &[f32]) -> (f32, f32) {
    values
        .iter()
        .fold((f32::INFINITY, 0.0), |(least, most), &value| {
            (least.min(value), most.max(value))
        })
}

struct Peaks<'a> {
    samples: &'a [f32],
    block: usize,
    stride: usize,
    found: &'a mut [f32],
}

impl WithSimd for Peaks<'_> {
    type Output = ();

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let spans = self.samples.chunks_exact(self.stride * self.block);
        for (span, found) in spans.zip(self.found) {
            let (whole, rest) = S::as_simd_f32s(span.get(..self.block).unwrap_or_default());
            let peak = whole.iter().fold(simd.splat_f32s(0.0), |peak, &x| {
                simd.max_f32s(simd.abs_f32s(x), peak)
            });
            let peak = simd.reduce_max_f32s(peak);
            *found = rest.iter().fold(peak, |peak, x| x.abs().max(peak));
        }
    }
}

/// Runs of blocks whose level is lost, with the field on before and after.
fn losses(peaks: &[f32], floor: f64) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let (least, most) = extremes(peaks);
    // The level is a mean of peaks: most segments lose none of it, and are done with here.
    if f64::from(least) > FALLEN * f64::from(most) {
        return found;
    }
    let (mut level, mut on_for, mut lost_at) = (0.0, 0, None);
    for (index, &peak) in peaks.iter().enumerate() {
        let peak = f64::from(peak);
        if let Some(first) = lost_at {
            if peak > RISEN * level {
                found.push(first..index);
                lost_at = None;
            } else if index - first > LONGEST {
                (level, on_for, lost_at) = (0.0, 0, None);
            }
        } else if peak <= FALLEN * level && on_for >= SETTLED {
            lost_at = Some(index);
        } else if peak > floor {
            on_for += 1;
            level += (peak - level) / LEVEL_BLOCKS.min(on_for as f64);
        } else {
            (level, on_for) = (0.0, 0);
        }
    }
    found
}

/// The amplitude of the carrier round a sample.
struct Envelope<'a> {
    samples: &'a [f32],
    cycles_per_sample: f64,
}

impl Envelope<'_> {
    /// |Σ w x e^(−jωt)| over two cycles with a Hann window.
    fn at(&self, position: f64) -> f64 {
        let half = 0.5 * WINDOW_CYCLES / self.cycles_per_sample;
        let first = (position - half).ceil().max(0.0) as usize;
        let last = ((position + half).floor().max(0.0) as usize).min(self.samples.len());
        let (mut sum, mut weights) = (Complex64::default(), 0.0);
        for (n, &x) in self.samples[first.min(last)..last].iter().enumerate() {
            let at = (first + n) as f64;
            let weight = 0.5 + 0.5 * (0.5 * TAU * (at - position) / half).cos();
            sum += weight
                * f64::from(x)
                * Complex64::cis(-TAU * (self.cycles_per_sample * at).fract());
            weights += weight;
        }
        2.0 * sum.norm() / f64::max(weights, 1e-300)
    }

    /// The gap round some samples, its edges halfway between the levels; `None` where a level is missing.
    fn gap(&self, rough: Range<usize>) -> Option<Gap> {
        let cycle = self.cycles_per_sample.recip();
        let step = cycle / STEPS;
        let begin = rough.start as f64 - ROUND * cycle;
        let count = ((rough.end as f64 + ROUND * cycle - begin) / step) as usize;
        if begin < 0.0 {
            return None;
        }
        let place = |k: usize| begin + k as f64 * step;
        let values: Vec<f64> = (0..=count).map(|k| self.at(place(k))).collect();
        let before = values[..(STEPS as usize).min(count)]
            .iter()
            .fold(0.0, |most, &value| f64::max(value, most));
        let lowest = (0..=count).min_by(|&a, &b| values[a].total_cmp(&values[b]))?;
        let limit = f64::midpoint(before, values[lowest]);
        let crossing = |a: usize, b: usize| {
            let share = (values[a] - limit) / (values[a] - values[b]);
            place(a) + share * (place(b) - place(a))
        };
        let falls = (1..=lowest).rev().find(|&k| values[k - 1] > limit)?;
        let rises = (lowest + 1..=count).find(|&k| values[k] > limit)?;
        Some(Gap {
            start: crossing(falls - 1, falls),
            end: crossing(rises - 1, rises),
            level_ratio: values[lowest] / before.max(1e-300),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::losses;

    #[test]
    fn a_loss_needs_field_on_both_sides() {
        let mut peaks = vec![0.01_f32; 20];
        peaks.extend([1.0; 30]);
        peaks.extend([0.1; 6]);
        peaks.extend([1.0; 20]);
        peaks.extend([0.0; 200]);
        assert_eq!(losses(&peaks, 0.35), vec![50..56]);
    }
}
