use crate::dsp::RunningSum;

/// Bit phases that are tried first, on few bits.
const COARSE_PHASES: usize = 8;
const COARSE_BITS: usize = 512;
/// Finer steps round the best of them, on many bits.
const FINE_STEP: f64 = 1.0 / 32.0;
const FINE_BITS: usize = 2048;
/// The first symbol may lack so much that this part of it is left.
const LEAST_PART: f64 = 0.75;

/// Start of the first symbol, 0 to `period`, by the largest matched-filter energy, in coarse and then fine steps of
/// the bit phase, and a parabola through the best three.
pub(super) fn best_start(sums: &RunningSum, period: f64) -> f64 {
    let coarse = |phase: usize| {
        energy(
            sums,
            phase as f64 * period / COARSE_PHASES as f64,
            period,
            COARSE_BITS,
        )
    };
    let best = largest((0..COARSE_PHASES).map(coarse)) as f64 / COARSE_PHASES as f64;
    let at = |step: usize| (best + (step as f64 - 3.0) * FINE_STEP).rem_euclid(1.0);
    let energies: [f64; 7] =
        std::array::from_fn(|step| energy(sums, at(step) * period, period, FINE_BITS));
    let middle = largest(energies.into_iter()).clamp(1, energies.len() - 2);
    let (left, centre, right) = (energies[middle - 1], energies[middle], energies[middle + 1]);
    let curvature = left - 2.0 * centre + right;
    let offset = if curvature < 0.0 {
        (0.5 * (left - right) / curvature).clamp(-1.0, 1.0)
    } else {
        0.0
    };
    ((at(middle) + offset * FINE_STEP) * period).rem_euclid(period)
}

fn largest(values: impl Iterator<Item = f64>) -> usize {
    values
        .enumerate()
        .max_by(|(_, a), (_, b)| a.total_cmp(b))
        .map_or(0, |(index, _)| index)
}

/// The start of the first symbol of which all is there, or most.
///
/// What is missing of a symbol counts as nothing: it has less noise as well as less signal, as a log-likelihood ratio must.
pub(super) fn with_part(start: f64, period: f64) -> f64 {
    let is_there = start >= LEAST_PART * period;
    if is_there { start - period } else { start }
}

/// Mean square of the symbols on the clock that begins at `start`: of at most `bits` in the middle of the signal.
fn energy(sums: &RunningSum, start: f64, period: f64, bits: usize) -> f64 {
    let count = count(sums, start, period);
    let taken = count.min(bits);
    let skipped = (count - taken) / 2;
    let total: f64 = symbols(sums, start + skipped as f64 * period, period)
        .take(taken)
        .map(|m| m * m)
        .sum();
    total / taken.max(1) as f64
}

/// The symbols that begin at `start`: the mean over the first half-bit less the mean over the second, halved, so
/// that a full swing between +a and −a gives ±a.
pub(super) fn symbols(sums: &RunningSum, start: f64, period: f64) -> impl Iterator<Item = f64> {
    let mut before = sums.up_to(start);
    let scale = 1.0 / period;
    (0..count(sums, start, period)).map(move |k| {
        let from = start + k as f64 * period;
        let after = sums.inside(from + period);
        let symbol = (2.0 * sums.inside(from + 0.5 * period) - before - after) * scale;
        before = after;
        symbol
    })
}

fn count(sums: &RunningSum, start: f64, period: f64) -> usize {
    ((sums.len() as f64 - start) / period).floor().max(0.0) as usize
}
