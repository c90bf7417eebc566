//! Rectangular loop of one or more turns.

use super::Conductor;
use super::mean_distance::rectangle_mean_distance_m;
use crate::model_error::{positive, within};
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};
use std::f64::consts::PI;

const GROVER: Formula = Formula {
    name: "Grover, rectangle of wire",
    reference: "Grover 1946, Inductance Calculations, eq. 58 (from memory)",
};
/// Beyond this ratio of the wire's width to the short side, corners are a large part of the loop.
const MOST_THICKNESS: f64 = 0.1;

/// A rectangular loop, measured between the centres of the wire.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct RectangularLoop {
    /// One side, metres.
    pub width_m: f64,
    /// The other side, metres.
    pub height_m: f64,
    /// The wire.
    pub conductor: Conductor,
}

/// A rectangular coil whose turns fill a rectangular bundle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct RectangularCoil {
    /// One side to the middle of the bundle, metres.
    pub width_m: f64,
    /// The other side to the middle of the bundle, metres.
    pub height_m: f64,
    /// Extent of the bundle along the axis, metres.
    pub bundle_length_m: f64,
    /// Extent of the bundle in the plane of the coil, metres.
    pub bundle_depth_m: f64,
    /// Turns.
    pub turns: f64,
}

/// Inductance of a rectangular loop of wire, henry:
/// μ₀/π [−2(w + h) + 2d − h asinh(h/w) − w asinh(w/h) + h ln(2h/g) + w ln(2w/g)], d the diagonal, g the wire's mean distance.
///
/// Accuracy: four times the wire's half width over the short side, divided by the bracket's logarithm (what the corners may
/// hold). Valid for a wire of at most a tenth of the short side.
///
/// # Errors
///
/// If a size is not positive or the wire too thick.
///
/// ```
/// use coilwright_coil::inductance::{Conductor, RectangularLoop, rectangular_loop_henry};
/// let card = RectangularLoop { width_m: 0.2, height_m: 0.1, conductor: Conductor::round(1e-3) };
/// assert!((rectangular_loop_henry(&card)?.value - 0.608_574e-6).abs() < 1e-12);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn rectangular_loop_henry(turn: &RectangularLoop) -> Result<Modelled, ModelError> {
    let distance = turn.conductor.mean_distance_m()?;
    rectangle(
        turn.width_m,
        turn.height_m,
        turn.conductor.width_m(),
        distance,
    )
}

/// Inductance of a rectangular coil of several turns in a bundle, henry: N² times the loop whose wire has the bundle's mean distance.
///
/// Accuracy as [`rectangular_loop_henry`] with the bundle's larger extent as the wire, and 2 % for the wires in the bundle. Valid for a
/// bundle of at most a tenth of the short side.
///
/// # Errors
///
/// If a size is not positive or the bundle too thick.
pub fn rectangular_coil_henry(coil: &RectangularCoil) -> Result<Modelled, ModelError> {
    let length = positive("length of the bundle", coil.bundle_length_m, "m")?;
    let depth = positive("depth of the bundle", coil.bundle_depth_m, "m")?;
    let turns = positive("turns of the coil", coil.turns, "turns")?;
    let distance = rectangle_mean_distance_m(length, depth);
    let one = rectangle(coil.width_m, coil.height_m, length.max(depth), distance)?;
    Ok(Modelled::new(
        one.value * turns * turns,
        one.relative_accuracy + 0.02,
        GROVER,
    ))
}

fn rectangle(
    width: f64,
    height: f64,
    thickness: f64,
    distance: f64,
) -> Result<Modelled, ModelError> {
    let w = positive("width of the rectangle", width, "m")?;
    let h = positive("height of the rectangle", height, "m")?;
    let relative = within(
        GROVER.name,
        "thickness over the short side",
        thickness / w.min(h),
        0.0,
        MOST_THICKNESS,
    )?;
    let sum = -2.0 * (w + h) + 2.0 * w.hypot(h) - h * (h / w).asinh() - w * (w / h).asinh()
        + h * (2.0 * h / distance).ln()
        + w * (2.0 * w / distance).ln();
    let corners = 2.0 * relative * w.min(h) / sum;
    Ok(Modelled::new(MAGNETIC_CONSTANT / PI * sum, corners, GROVER))
}
