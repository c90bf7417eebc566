use num_complex::{Complex32, Complex64};

/// `values` behind the filter matched to a pole of `pole` per value, h(t) = p e^(−pt): q(t) = ∫ z(u) h*(u − t) du over
/// u ≥ t, with z held over each value, and the mean of q over each value returned.
///
/// The product of z with the smeared symbol h ∗ s equals that of q with the plain symbol s, so what follows need not know
/// of the smearing. q runs backwards in time: over a value z its edge goes from q to q E + z (1 − E), E = e^(−p*), and its
/// mean is z + (q − z)(1 − E)/p*.
pub(super) fn matched(values: &[Complex32], pole: Complex64) -> Vec<Complex32> {
    let pole = pole.conj();
    let rest = (-pole).exp();
    let share = (1.0 - rest) / pole;
    let single = |z: Complex64| Complex32::new(z.re as f32, z.im as f32);
    let (rest, share) = (single(rest), single(share));
    let mut filtered = vec![Complex32::default(); values.len()];
    let mut edge = Complex32::default();
    for (target, &value) in filtered.iter_mut().zip(values).rev() {
        let over = edge - value;
        *target = value + over * share;
        edge = value + over * rest;
    }
    filtered
}
