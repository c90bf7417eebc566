use num_complex::{Complex32, Complex64};
use serde::Serialize;

/// A sudden and lasting change of the carrier's phase.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PhaseJump {
    /// Baseband sample from which the new phase holds.
    pub sample: usize,
    /// By how much the phase advanced, from −π to π: `2π f n / fs` for `n` lost samples.
    pub radians: f64,
}

/// Sides must be at least this strong against the strongest, so that noise between bursts has no phase.
const STRONG_PART: f64 = 0.25;
/// Amplitude on one side over that on the other; a lost sample does not change it.
const ALIKE_PART: f64 = 0.5;

/// The places where the phase of the carrier jumps and stays: samples were lost, or the drive was interrupted.
///
/// `baseband` is the carrier mixed to (about) 0 Hz; a constant remaining frequency is taken out. Means over
/// `window_samples` on both sides of each sample are compared; a jump counts above `limit_radians`. Phase modulation
/// by a key swings by a few degrees, so a limit of 0.35 (20°) with a window of one bit finds only what is not a key.
/// Windows shorter than 4 samples, or longer than half the baseband, give nothing.
///
/// ```
/// use coilwright_signal::quality::phase_jumps;
/// use num_complex::Complex32;
/// let baseband: Vec<_> = (0..400).map(|n| Complex32::from_polar(1.0, if n < 250 { 0.2 } else { 1.7 })).collect();
/// let jumps = phase_jumps(&baseband, 32, 0.35);
/// assert_eq!(jumps.len(), 1);
/// assert_eq!(jumps[0].sample, 250);
/// assert!((jumps[0].radians - 1.5).abs() < 1e-5);
/// ```
#[must_use]
pub fn phase_jumps(
    baseband: &[Complex32],
    window_samples: usize,
    limit_radians: f64,
) -> Vec<PhaseJump> {
    if window_samples < 4 || baseband.len() < 2 * window_samples {
        return Vec::new();
    }
    let sums = running_sums(baseband);
    let sides = |sample: usize| {
        let before = sums[sample] - sums[sample - window_samples];
        (before, sums[sample + window_samples] - sums[sample])
    };
    let samples = window_samples..=baseband.len() - window_samples;
    let strongest = samples
        .clone()
        .map(|sample| sides(sample).1.norm())
        .fold(0.0, f64::max);
    let turns: Vec<Option<f64>> = samples
        .map(|sample| {
            let (before, after) = sides(sample);
            let (weaker, stronger) = (
                before.norm().min(after.norm()),
                before.norm().max(after.norm()),
            );
            let usable = weaker > STRONG_PART * strongest && weaker > ALIKE_PART * stronger;
            usable.then(|| (after * before.conj()).arg())
        })
        .collect();
    let drift = median_of(&turns);
    largest_in_reach(&turns, drift, limit_radians, window_samples)
        .into_iter()
        .map(|(index, radians)| PhaseJump {
            sample: index + window_samples,
            radians,
        })
        .collect()
}

fn running_sums(baseband: &[Complex32]) -> Vec<Complex64> {
    let mut total = Complex64::default();
    std::iter::once(total)
        .chain(baseband.iter().map(|value| {
            total += Complex64::new(f64::from(value.re), f64::from(value.im));
            total
        }))
        .collect()
}

fn median_of(turns: &[Option<f64>]) -> f64 {
    let mut known: Vec<f64> = turns.iter().copied().flatten().collect();
    known.sort_by(f64::total_cmp);
    known.get(known.len() / 2).copied().unwrap_or(0.0)
}

/// The turns above the limit, less the drift, that are the largest within a window on both sides.
fn largest_in_reach(
    turns: &[Option<f64>],
    drift: f64,
    limit: f64,
    window: usize,
) -> Vec<(usize, f64)> {
    let mut found: Vec<(usize, f64)> = Vec::new();
    for (index, turn) in turns.iter().enumerate() {
        let excess = turn.map_or(0.0, |turn| Complex64::from_polar(1.0, turn - drift).arg());
        if excess.abs() <= limit {
            continue;
        }
        match found.last_mut() {
            Some(largest) if index - largest.0 <= window => {
                if excess.abs() > largest.1.abs() {
                    *largest = (index, excess);
                }
            }
            _ => found.push((index, excess)),
        }
    }
    found
}
