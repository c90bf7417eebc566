/// Bit phases that are tried first.
const COARSE: usize = 8;
/// Finer steps round the best of them.
const FINE_STEP: f64 = 1.0 / 32.0;

/// The start of the first bit from `begin` on with the largest energy, in coarse and then fine steps of the bit phase,
/// and a parabola through the best three.
pub(super) fn best_start(begin: f64, period: f64, energy: impl Fn(f64) -> f64) -> f64 {
    let at = |phase: f64| energy(begin + phase.rem_euclid(1.0) * period);
    let coarse = largest((0..COARSE).map(|k| at(k as f64 / COARSE as f64)));
    let centre = coarse as f64 / COARSE as f64;
    let phase = |step: usize| centre + (step as f64 - 3.0) * FINE_STEP;
    let energies: [f64; 7] = std::array::from_fn(|step| at(phase(step)));
    let middle = largest(energies.into_iter()).clamp(1, energies.len() - 2);
    let (left, top, right) = (energies[middle - 1], energies[middle], energies[middle + 1]);
    let curvature = left - 2.0 * top + right;
    let offset = if curvature < 0.0 {
        (0.5 * (left - right) / curvature).clamp(-1.0, 1.0)
    } else {
        0.0
    };
    begin + (phase(middle) + offset * FINE_STEP).rem_euclid(1.0) * period
}

fn largest(values: impl Iterator<Item = f64>) -> usize {
    values
        .enumerate()
        .max_by(|(_, a), (_, b)| a.total_cmp(b))
        .map_or(0, |(index, _)| index)
}
