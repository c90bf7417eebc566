//! One circular turn.

use super::Conductor;
use super::conductor::{CurrentSpread, WireShape};
use crate::model_error::{positive, within};
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};

const KIRCHHOFF: Formula = Formula {
    name: "Kirchhoff, thin circular loop",
    reference: "Kirchhoff 1864; Rosa and Grover, NBS S169, 1912, eq. 63 (from memory)",
};
const RAYLEIGH_NIVEN: Formula = Formula {
    name: "Rayleigh and Niven, circular loop",
    reference: "Rayleigh and Niven 1881; Rosa and Grover, NBS S169, 1912, eq. 64 (from memory)",
};
/// Beyond this ratio of the wire's half width to the loop's radius the expansions are poor.
const MOST_THICKNESS: f64 = 0.2;

/// One circular turn.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct CircularLoop {
    /// Radius to the centre of the wire, metres.
    pub radius_m: f64,
    /// The wire.
    pub conductor: Conductor,
}

/// Inductance of a thin circular loop, henry: L = μ₀ a [ln(8a/g) − 2], g the wire's geometric mean distance; μ₀ a [ln(8a/r) − 1.75]
/// for round wire with uniform current, −2 with surface current.
///
/// Accuracy: the next term of Rayleigh and Niven. Valid for a half width of at most 0.2 of the radius.
///
/// # Errors
///
/// If a size is not positive or the wire too thick.
///
/// ```
/// use coilwright_coil::inductance::{CircularLoop, Conductor, circular_loop_henry};
/// let wire = Conductor::round(1e-3);
/// let loop_25_cm = CircularLoop { radius_m: 0.25, conductor: wire };
/// assert!((circular_loop_henry(&loop_25_cm)?.value - 2.055_874e-6).abs() < 1e-12);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn circular_loop_henry(turn: &CircularLoop) -> Result<Modelled, ModelError> {
    let (radius, thickness) = checked(turn, KIRCHHOFF.name)?;
    let distance = turn.conductor.mean_distance_m()?;
    let shape = (8.0 * radius / distance).ln() - 2.0;
    // The correction has the form ¹⁄₈ (r/a)² (ln(8a/r) + ¹⁄₃) for round wire; a square's has corners outside its half width.
    let next = thickness * thickness / 4.0 * ((8.0 / thickness).ln() + 1.0 / 3.0) / shape;
    Ok(Modelled::new(
        MAGNETIC_CONSTANT * radius * shape,
        next,
        KIRCHHOFF,
    ))
}

/// Inductance of a circular loop of round wire with uniform current, henry, one order further:
/// L = μ₀ a [(1 + r²/8a²) ln(8a/r) + r²/24a² − 1.75].
///
/// Accuracy: (r/a)⁴. Valid for r up to 0.2 a.
///
/// # Errors
///
/// If a size is not positive, the wire too thick, not round, or its current not uniform.
pub fn circular_loop_rayleigh_niven_henry(turn: &CircularLoop) -> Result<Modelled, ModelError> {
    let (radius, thickness) = checked(turn, RAYLEIGH_NIVEN.name)?;
    if !matches!(
        turn.conductor,
        Conductor {
            shape: WireShape::Round { .. },
            spread: CurrentSpread::Uniform
        }
    ) {
        return Err(ModelError::OutsideValidity {
            formula: RAYLEIGH_NIVEN.name,
            quantity: "internal ratio (1 for a round wire with uniform current)",
            found: 0.0,
            low: 1.0,
            high: 1.0,
        });
    }
    let square = thickness * thickness;
    let shape = (1.0 + square / 8.0) * (8.0 / thickness).ln() + square / 24.0 - 1.75;
    Ok(Modelled::new(
        MAGNETIC_CONSTANT * radius * shape,
        (square * square).max(1e-9),
        RAYLEIGH_NIVEN,
    ))
}

/// Radius, and half width over it.
fn checked(turn: &CircularLoop, formula: &'static str) -> Result<(f64, f64), ModelError> {
    let radius = positive("radius of the loop", turn.radius_m, "m")?;
    let half = 0.5 * positive("width of the wire", turn.conductor.width_m(), "m")?;
    let thickness = within(
        formula,
        "half the wire's width over the loop's radius",
        half / radius,
        0.0,
        MOST_THICKNESS,
    )?;
    Ok((radius, thickness))
}
