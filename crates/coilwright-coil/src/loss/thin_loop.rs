//! Resistance of one turn: a wire whose parts lie far from each other.

use super::{WindingResistance, Wire};
use crate::model_error::{positive, within};
use crate::{Formula, ModelError, Modelled};

const STRAIGHT: Formula = Formula {
    name: "skin effect of a straight wire by Bessel functions",
    reference: "NBS Circular 74, 1924, p. 309 (from memory)",
};
/// The most half width of the wire over the distance, as for the inductance of a loop.
const MOST_THICKNESS: f64 = 0.2;

/// Resistance of a wire whose other parts are at least a distance away, from direct current to a frequency: one turn of any outline.
///
/// R = R₀ F, F of [`Wire::straight_ratio`]. What the rest of the turn adds is left out and stands in the accuracy: a field H across round
/// wire whose skin is thin adds 2 (2πrH/I)² of the resistance, and a circle of radius s has H = I/(4πs) [ln(8s/r) − ¾] at its own wire
/// (the hoop field, from memory). Accuracy: ½ (r/s)² ln²(8s/r), and 0.5 % for ends and bends; valid for r up to 0.2 s. Take the
/// radius of a circle, or half the short side of a rectangle, as the distance.
///
/// # Errors
///
/// If a size is not positive, the wire too thick for the distance, or as [`Wire::straight_ratio`].
///
/// ```
/// use coilwright_coil::loss::{Wire, thin_loop_resistance};
/// let wire = Wire::Solid { diameter_m: 2.58819e-3 };
/// let one = thin_loop_resistance(1.0, 0.16, &wire, 1.7241e-8, 125e3)?;
/// assert!((one.alternating_ohm.value / one.direct_ohm - 3.725_0).abs() < 1e-4);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn thin_loop_resistance(
    length_m: f64,
    distance_m: f64,
    wire: &Wire,
    resistivity_ohm_m: f64,
    frequency_hz: f64,
) -> Result<WindingResistance, ModelError> {
    let length = positive("length of the wire", length_m, "m")?;
    let distance = positive("distance of the turn's parts", distance_m, "m")?;
    let relative = within(
        STRAIGHT.name,
        "half the wire's width over the turn's radius",
        0.5 * wire.outer_diameter_m() / distance,
        0.0,
        MOST_THICKNESS,
    )?;
    let direct = wire.direct_ohm_per_metre(resistivity_ohm_m)? * length;
    let value = direct * wire.straight_ratio(resistivity_ohm_m, frequency_hz)?;
    let left_out = 0.5 * (relative * (8.0 / relative).ln()).powi(2);
    Ok(WindingResistance {
        direct_ohm: direct,
        alternating_ohm: Modelled::new(value, 0.005 + left_out, STRAIGHT),
        skin_ohm: value - direct,
        proximity_ohm: 0.0,
    })
}
