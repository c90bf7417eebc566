//! Mutual inductance of two coaxial circles (Maxwell 1873).

use crate::model_error::{finite, positive};
use crate::special::elliptic;
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};

pub(super) const MAXWELL: Formula = Formula {
    name: "Maxwell, coaxial circles",
    reference: "Maxwell 1873, Treatise vol. 2 art. 701; Grover 1946 ch. 11 (second hand)",
};

/// Rounding of the elliptic integrals; thin wires are assumed exactly.
pub(super) const ROUNDING: f64 = 1e-12;

/// Two coaxial circles of thin wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoaxialCircles {
    /// Radius of the first, metres.
    pub first_radius_m: f64,
    /// Radius of the second, metres.
    pub second_radius_m: f64,
    /// Distance of their planes, metres; the sign does not matter.
    pub distance_m: f64,
}

/// Mutual inductance of two coaxial circles, henry.
///
/// M = μ₀ √(ab) [(2/k − k) K(k) − (2/k) E(k)], k² = 4ab/((a + b)² + d²) (Maxwell, art. 701), written so that nothing cancels
/// far away or close by. Accuracy: that of double precision, for wires thin against their distance.
///
/// # Errors
///
/// If a radius is not positive, the distance is not finite, or the circles coincide.
///
/// ```
/// use coilwright_coil::coupling::{CoaxialCircles, coaxial_circles_henry};
/// let circles = CoaxialCircles { first_radius_m: 0.25, second_radius_m: 0.2, distance_m: 0.1 };
/// let mutual = coaxial_circles_henry(&circles)?;
/// assert!((mutual.value - 248.787_359e-9).abs() < 1e-15);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn coaxial_circles_henry(circles: &CoaxialCircles) -> Result<Modelled, ModelError> {
    let a = positive("radius of the first circle", circles.first_radius_m, "m")?;
    let b = positive("radius of the second circle", circles.second_radius_m, "m")?;
    let d = finite("distance of the circles", circles.distance_m, "m")?;
    let apart = (a - b).hypot(d);
    if apart <= f64::EPSILON * (a + b) {
        return Err(ModelError::Touching { distance_m: apart });
    }
    Ok(Modelled::new(mutual_henry(a, b, d), ROUNDING, MAXWELL))
}

/// Maxwell's formula without checks; the circles must not coincide.
pub(crate) fn mutual_henry(a: f64, b: f64, d: f64) -> f64 {
    b * b * flux_slope(a, b, d)
}

/// Mutual inductance over the square of the second radius: finite down to a second radius of zero, where it is the axial
/// field times π. With k² = 4ab/s, √(ab) k³ = 8 a² b² / s^1.5.
pub(crate) fn flux_slope(a: f64, b: f64, d: f64) -> f64 {
    let far = (a + b).mul_add(a + b, d * d);
    let near = (a - b).mul_add(a - b, d * d);
    8.0 * MAGNETIC_CONSTANT * a * a * elliptic(near / far).maxwell / (far * far.sqrt())
}
