use num_complex::{Complex32, Complex64};

/// Angle of the principal axis of the second moment Σ z², −π/2 to π/2; amplitude modulation lies at 0.
///
/// A coil off resonance turns load modulation into a mix of amplitude and phase modulation, so that the envelope
/// alone can miss it; the two sides of the axis are the two states of the key.
pub(super) fn principal(second_moment: Complex64) -> f64 {
    second_moment.arg() / 2.0
}

/// The same in the direction nearest to `axis_rad`.
pub(super) fn near(second_moment: Complex64, axis_rad: f64) -> f64 {
    axis_rad + principal(second_moment * Complex64::cis(-2.0 * axis_rad))
}

/// The parts of values along the axis, one by one.
pub(super) fn parts(
    values: impl Iterator<Item = Complex64>,
    axis_rad: f64,
) -> impl Iterator<Item = f64> {
    let (sin, cos) = axis_rad.sin_cos();
    values.map(move |z| z.re * cos + z.im * sin)
}

/// The parts of `values` along the axis.
pub(super) fn project(values: &[Complex32], axis_rad: f64) -> Vec<f32> {
    let (sin, cos) = (axis_rad.sin() as f32, axis_rad.cos() as f32);
    values.iter().map(|z| z.re * cos + z.im * sin).collect()
}
