use super::grid::{Means, half_bit};
use crate::demodulate::{Baseband, KeyRead};

/// The signal is averaged over this part of a bit before its crossings are looked for.
const SMOOTH_BITS: f64 = 0.25;
/// A crossing is looked for this far on both sides of its place, in bits.
const REACH_BITS: f64 = 0.25;
/// Steps of the search.
const STEPS: usize = 16;

/// Where the transitions of a key lie against its bit clock.
#[derive(Clone, Debug, PartialEq)]
pub struct Timing {
    /// Place of each transition on the clock, in samples from the start of the capture.
    pub positions: Vec<f64>,
    /// How late each transition comes, in bits.
    pub errors_bits: Vec<f32>,
    /// Mean of the errors.
    pub mean_bits: f64,
    /// Standard deviation of the errors about their mean.
    pub jitter_bits: f64,
}

impl Timing {
    /// The timing of a read on the baseband that it came from; `None` where no transition was seen.
    ///
    /// A transition is a boundary between half-bits whose means have opposite signs; it lies where the signal,
    /// averaged over a quarter of a bit, crosses zero.
    #[must_use]
    pub fn of(baseband: &Baseband, read: &KeyRead) -> Option<Self> {
        let times = read.bit_times;
        let means = Means::of_baseband(baseband);
        let half = 0.5 * times.period;
        let (mut positions, mut errors_bits) = (Vec::new(), Vec::new());
        for index in 1..(2 * read.bits.len()).max(1) {
            let place = half_bit(&times, index);
            let before = means.over(place - half, place);
            let after = means.over(place, place + half);
            let Some((before, after)) = before.zip(after) else {
                continue;
            };
            if (before > 0.0) != (after > 0.0)
                && let Some(error) = crossing(&means, place, times.period, after > 0.0)
            {
                positions.push(place);
                errors_bits.push(error as f32);
            }
        }
        let (mean_bits, jitter_bits) = moments(&errors_bits)?;
        Some(Self {
            positions,
            errors_bits,
            mean_bits,
            jitter_bits,
        })
    }
}

/// The zero crossing in the wanted direction that lies nearest to `place`, in bits after it.
fn crossing(means: &Means, place: f64, period: f64, rising: bool) -> Option<f64> {
    let smooth = 0.5 * SMOOTH_BITS * period;
    let at = |t: f64| means.over(place + t * period - smooth, place + t * period + smooth);
    let step = 2.0 * REACH_BITS / STEPS as f64;
    (0..STEPS)
        .filter_map(|k| {
            let from = k as f64 * step - REACH_BITS;
            let (left, right) = (at(from)?, at(from + step)?);
            let crosses = (left <= 0.0) != (right <= 0.0) && (right > left) == rising;
            crosses.then(|| from + step * left / (left - right))
        })
        .min_by(|a, b| a.abs().total_cmp(&b.abs()))
}

fn moments(errors: &[f32]) -> Option<(f64, f64)> {
    let count = errors.len() as f64;
    let mean = errors.iter().map(|&error| f64::from(error)).sum::<f64>() / count;
    let square = errors
        .iter()
        .map(|&error| (f64::from(error) - mean).powi(2))
        .sum::<f64>()
        / count;
    (count > 0.0).then(|| (mean, square.sqrt()))
}
