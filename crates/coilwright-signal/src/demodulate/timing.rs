use crate::dsp::RunningSum;

/// Bit phases that are tried.
const PHASES: usize = 32;
/// More bits than this add nothing.
const MAX_BITS: usize = 4096;

/// Start of the first symbol, 0 to `period`, by the largest matched-filter energy over [`PHASES`] phases and a
/// parabola through the best three.
pub(super) fn best_start(sums: &RunningSum, period: f64) -> f64 {
    let energies: Vec<f64> = (0..PHASES)
        .map(|phase| energy(sums, phase as f64 * period / PHASES as f64, period))
        .collect();
    let best = (0..PHASES)
        .max_by(|&a, &b| energies[a].total_cmp(&energies[b]))
        .unwrap_or_default();
    let (left, middle, right) = (
        energies[(best + PHASES - 1) % PHASES],
        energies[best],
        energies[(best + 1) % PHASES],
    );
    let curvature = left - 2.0 * middle + right;
    let offset = if curvature < 0.0 {
        0.5 * (left - right) / curvature
    } else {
        0.0
    };
    ((best as f64 + offset) / PHASES as f64 * period).rem_euclid(period)
}

/// Mean square of the symbols that begin at `start`.
pub(super) fn energy(sums: &RunningSum, start: f64, period: f64) -> f64 {
    let count = count(sums, start, period).min(MAX_BITS);
    let total: f64 = symbols(sums, start, period)
        .take(count)
        .map(|m| m * m)
        .sum();
    total / count.max(1) as f64
}

/// The symbols that begin at `start`: the mean over the first half-bit less the mean over the second, halved, so
/// that a full swing between +a and −a gives ±a.
pub(super) fn symbols(sums: &RunningSum, start: f64, period: f64) -> impl Iterator<Item = f64> {
    (0..count(sums, start, period)).map(move |k| {
        let from = start + k as f64 * period;
        (2.0 * sums.up_to(from + 0.5 * period) - sums.up_to(from) - sums.up_to(from + period))
            / period
    })
}

fn count(sums: &RunningSum, start: f64, period: f64) -> usize {
    ((sums.len() as f64 - start) / period).floor().max(0.0) as usize
}
