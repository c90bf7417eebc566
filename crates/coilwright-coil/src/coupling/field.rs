//! Magnetic field of a circle of thin wire.

use crate::MAGNETIC_CONSTANT;
use crate::special::elliptic;
use std::f64::consts::{PI, TAU};

/// Flux density at a point beside a circle, tesla for each ampere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CircleField {
    /// Away from the axis, tesla per ampere.
    pub radial_tesla_per_ampere: f64,
    /// Along the axis, tesla per ampere.
    pub axial_tesla_per_ampere: f64,
}

/// Flux density of a circle of thin wire, tesla per ampere, at a distance from its axis and a height over its plane.
///
/// With α² = (a + ρ)² + z², β² = (a − ρ)² + z², k² = 4aρ/α²:
/// `B_z = μ₀/(2πα) [K + (a² − ρ² − z²) E/β²]`, `B_ρ = μ₀ a z/(πα) [E/β² − 2 D/α²]`, D = (K − E)/k²
/// (Smythe, Static and Dynamic Electricity, 7.10, from memory; `B_ρ` rewritten without the division by ρ). Not a number where the
/// point lies on the wire or the radius is not positive.
///
/// ```
/// let field = coilwright_coil::coupling::circle_field(0.1, 0.0, 0.1);
/// // μ₀ a²/(2 (a² + z²)^1.5) on the axis
/// assert!((10.0 * field.axial_tesla_per_ampere - 22.214_41e-6).abs() < 1e-11);
/// ```
#[must_use]
pub fn circle_field(radius_m: f64, from_axis_m: f64, height_m: f64) -> CircleField {
    let (a, rho, z) = (radius_m, from_axis_m.abs(), height_m);
    let far = (a + rho).mul_add(a + rho, z * z);
    let near = (a - rho).mul_add(a - rho, z * z);
    let e = elliptic(near / far);
    let alpha = far.sqrt();
    let axial = e.first + (a * a - rho * rho - z * z) * e.second / near;
    let radial = e.second / near - 2.0 * e.d / far;
    CircleField {
        radial_tesla_per_ampere: MAGNETIC_CONSTANT * a * z / (PI * alpha) * radial,
        axial_tesla_per_ampere: MAGNETIC_CONSTANT / (TAU * alpha) * axial,
    }
}
