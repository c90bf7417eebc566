//! Resistance of a winding: skin effect, and the field of all turns across each (proximity).

use super::Wire;
use crate::coupling::circle_field;
use crate::inductance::LayerWinding;
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};
use std::f64::consts::{PI, TAU};

/// Diameter of a wire from which on it was hardly meant in metres.
const DOUBTFUL_M: f64 = 0.02;
const FERREIRA: Formula = Formula {
    name: "Ferreira's orthogonality with the field of every turn",
    reference: "Ferreira 1994, IEEE Trans. Power Electronics 9, 127 (from memory); field of circles, Smythe 7.10",
};

/// Resistance of a winding at one frequency.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct WindingResistance {
    /// Resistance to direct current, ohm.
    pub direct_ohm: f64,
    /// Resistance at the frequency, ohm.
    pub alternating_ohm: Modelled,
    /// Part of the alternating resistance that skin effect (and a litz bundle's own field) adds, ohm.
    pub skin_ohm: f64,
    /// Part that the field of the other turns adds, ohm.
    pub proximity_ohm: f64,
}

/// Resistance of a layered winding without a core, from direct current to a frequency.
///
/// `R = R₀ F_skin + Σ 2πr_i G H_i²/I²`: skin effect and the loss by the field across each turn do not mix (Ferreira's orthogonality); `H_i` is the
/// field of all other turns at turn i as circles of thin wire, G the loss of a metre of wire in a unit field. Dowell's one-dimensional
/// formula ([`super::dowell_ratio`]) is for windings in a core's window and does not hold for an air coil.
///
/// Accuracy: 3 % while the wire is not thicker than the skin depth; above, wires shield each other and the stated accuracy grows with the
/// proximity's share, to 20 % at two skin depths and 30 % at the end of the range, four skin depths.
///
/// # Errors
///
/// As [`LayerWinding::layers`] and [`Wire::straight_ratio`]; if the wire is thicker than the pitch or than four skin depths.
///
/// ```
/// use coilwright_coil::{inductance::{Conductor, LayerWinding}, loss::{Wire, winding_resistance}};
/// let winding = LayerWinding {
///     former_radius_m: 15e-3, turns: 100, turns_per_layer: 20,
///     axial_pitch_m: 0.3e-3, layer_pitch_m: 0.3e-3, conductor: Conductor::round(0.25e-3),
/// };
/// let resistance = winding_resistance(&winding, &Wire::Solid { diameter_m: 0.25e-3 }, 1.7241e-8, 125e3)?;
/// assert!(resistance.alternating_ohm.value > resistance.direct_ohm);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn winding_resistance(
    winding: &LayerWinding,
    wire: &Wire,
    resistivity_ohm_m: f64,
    frequency_hz: f64,
) -> Result<WindingResistance, ModelError> {
    let thickness = thickness(wire, resistivity_ohm_m, frequency_hz)?;
    room(winding.axial_pitch_m, wire)?;
    with_proximity(
        wire,
        (winding.wire_length_m()?, field_square_length(winding)?),
        (resistivity_ohm_m, frequency_hz),
        thickness,
        FERREIRA,
    )
}

/// Diameter of wire or strand over the skin depth, where the method holds.
pub(super) fn thickness(
    wire: &Wire,
    resistivity_ohm_m: f64,
    frequency_hz: f64,
) -> Result<f64, ModelError> {
    let strand = match *wire {
        Wire::Solid { diameter_m } => diameter_m,
        Wire::Litz {
            strand_diameter_m, ..
        } => strand_diameter_m,
    };
    let depth = super::skin_depth_m(resistivity_ohm_m, frequency_hz)?;
    crate::model_error::within(
        FERREIRA.name,
        "diameter of wire or strand over skin depth",
        strand / depth,
        0.0,
        4.0,
    )
    .map_err(|outside| {
        if strand < DOUBTFUL_M {
            return outside;
        }
        ModelError::SizeDoubtful {
            quantity: "diameter of wire or strand",
            found_m: strand,
        }
    })
}

/// Resistance of a length of wire in a winding whose `Σ ∮ H² dl` is known for one ampere, per metre.
pub(super) fn with_proximity(
    wire: &Wire,
    (length_m, field_square_length): (f64, f64),
    (resistivity_ohm_m, frequency_hz): (f64, f64),
    thickness: f64,
    formula: Formula,
) -> Result<WindingResistance, ModelError> {
    let direct = wire.direct_ohm_per_metre(resistivity_ohm_m)? * length_m;
    let skin = direct * (wire.straight_ratio(resistivity_ohm_m, frequency_hz)? - 1.0);
    let loss = wire.field_loss_ohm_m(resistivity_ohm_m, frequency_hz)?;
    let proximity = loss * field_square_length;
    let value = direct + skin + proximity;
    let shielding = (0.2 * (thickness - 1.0).max(0.0)).min(0.3);
    let accuracy = 0.03 + shielding * proximity / value;
    Ok(WindingResistance {
        direct_ohm: direct,
        alternating_ohm: Modelled::new(value, accuracy, formula),
        skin_ohm: skin,
        proximity_ohm: proximity,
    })
}

/// Refuses a distance of turns along the axis in which the wire has no room.
pub(super) fn room(found_m: f64, wire: &Wire) -> Result<(), ModelError> {
    let needed_m = wire.outer_diameter_m();
    if needed_m > found_m * (1.0 + 1e-9) {
        return Err(ModelError::NoRoom {
            first: "the axial pitch",
            second: "the wire",
            found_m,
            needed_m,
        });
    }
    Ok(())
}

/// `Σ 2πr_i H_i²` for one ampere, per metre: the square of the field across each turn along its length.
///
/// In each layer the field of another layer is summed over axial distances from the nearest turn of either end, as running sums, so the work is
/// layers² times turns in a layer.
fn field_square_length(winding: &LayerWinding) -> Result<f64, ModelError> {
    let layers = winding.layers()?;
    let mut sum = 0.0;
    for at in 0..layers {
        let turns = winding.turns_in_layer(at);
        let mut field = vec![(0.0, 0.0); turns];
        for from in 0..layers {
            add_layer_field(winding, at, from, &mut field);
        }
        let squares: f64 = field.iter().map(|(r, z)| r * r + z * z).sum();
        sum += TAU * winding.layer_radius_m(at) * squares;
    }
    Ok(sum / (MAGNETIC_CONSTANT * MAGNETIC_CONSTANT))
}

/// Adds the flux density of one layer's turns at the turns of another, tesla for one ampere.
fn add_layer_field(winding: &LayerWinding, at: usize, from: usize, field: &mut [(f64, f64)]) {
    let sources = winding.turns_in_layer(from);
    let (a, rho) = (winding.layer_radius_m(from), winding.layer_radius_m(at));
    // Running sums over the place of target against source: 0 is the first target beside the last source.
    let mut running = vec![(0.0, 0.0)];
    let mut total = (0.0, 0.0);
    for place in 0..sources + field.len() - 1 {
        if at == from && place + 1 == sources {
            total.1 += own_field(winding, rho);
        } else {
            let steps = place as f64 - (sources - 1) as f64;
            let b = circle_field(a, rho, steps * winding.axial_pitch_m);
            total.0 += b.radial_tesla_per_ampere;
            total.1 += b.axial_tesla_per_ampere;
        }
        running.push(total);
    }
    for (target, sum) in field.iter_mut().enumerate() {
        let (low, high) = (running[target], running[target + sources]);
        sum.0 += high.0 - low.0;
        sum.1 += high.1 - low.1;
    }
}

/// Mean field of a turn across its own wire by its curvature, tesla for one ampere: μ₀/(4πa) [ln(8a/r) − ¾] for uniform current, the
/// hoop field (Shafranov's, from memory).
fn own_field(winding: &LayerWinding, radius: f64) -> f64 {
    let half = 0.5 * winding.conductor.width_m();
    MAGNETIC_CONSTANT / (4.0 * PI * radius) * ((8.0 * radius / half).ln() - 0.75)
}
