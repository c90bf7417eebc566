//! Resistance of a rectangular winding: skin effect, and the field of all straight sides across each.

use super::winding::{room, thickness, with_proximity};
use super::{WindingResistance, Wire};
use crate::model_error::{count, positive, within};
use crate::special::GaussLegendre;
use crate::{Formula, ModelError};
use std::f64::consts::PI;

const FERREIRA: Formula = Formula {
    name: "Ferreira's orthogonality with the field of every side",
    reference: "Ferreira 1994, IEEE Trans. Power Electronics 9, 127 (from memory); straight wires, Biot and Savart",
};
/// More turns than a rectangular antenna has; the work grows with their square.
const MOST_TURNS: usize = 200;
/// Nodes along half a side, crowded towards the corner, where the field of the side round it rises.
const NODES: usize = 20;

/// A rectangular winding whose turns stand side by side along the axis and in layers round each other.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct RectangularWinding {
    /// One side to the middle of the bundle, metres.
    pub width_m: f64,
    /// The other side to the middle of the bundle, metres.
    pub height_m: f64,
    /// Turns in all.
    pub turns: usize,
    /// Turns of a full layer.
    pub turns_per_layer: usize,
    /// Distance of turns and of layers from centre to centre, metres.
    pub pitch_m: f64,
}

/// Where a turn lies: half its sides and its height.
#[derive(Clone, Copy)]
struct Place {
    half_width: f64,
    half_height: f64,
    z: f64,
}

impl RectangularWinding {
    /// Layers, the last perhaps part full, after checking counts and sizes.
    ///
    /// # Errors
    ///
    /// If a count is zero, turns are more than 200, a size is not positive, or the bundle is deeper than half the short side.
    pub fn layers(&self) -> Result<usize, ModelError> {
        let turns = count("turns of a rectangular winding", self.turns, MOST_TURNS)?;
        let per_layer = count("turns in a layer", self.turns_per_layer, MOST_TURNS)?;
        let pitch = positive("pitch", self.pitch_m, "m")?;
        let short = positive("width of the rectangle", self.width_m, "m")?.min(positive(
            "height of the rectangle",
            self.height_m,
            "m",
        )?);
        let layers = turns.div_ceil(per_layer);
        within(
            FERREIRA.name,
            "depth of the bundle over the short side",
            layers as f64 * pitch / short,
            0.0,
            0.5,
        )?;
        Ok(layers)
    }

    /// Length of the wire without its ends, metres.
    ///
    /// # Errors
    ///
    /// As [`Self::layers`].
    pub fn wire_length_m(&self) -> Result<f64, ModelError> {
        let turn = |p: &Place| 4.0 * (p.half_width + p.half_height);
        Ok(self.places()?.iter().map(turn).sum())
    }

    fn places(&self) -> Result<Vec<Place>, ModelError> {
        let middle = 0.5 * (self.layers()? - 1) as f64;
        Ok((0..self.turns)
            .map(|turn| {
                let (layer, along) = (turn / self.turns_per_layer, turn % self.turns_per_layer);
                let out = (layer as f64 - middle) * self.pitch_m;
                Place {
                    half_width: 0.5 * self.width_m + out,
                    half_height: 0.5 * self.height_m + out,
                    z: along as f64 * self.pitch_m,
                }
            })
            .collect())
    }
}

/// Resistance of a rectangular winding without a core, from direct current to a frequency.
///
/// As [`super::winding_resistance`], with the field of every turn as four straight wires (Biot and Savart): Ferreira's orthogonality. Half a
/// wire's width is left out at each corner. Accuracy as there.
///
/// # Errors
///
/// As [`RectangularWinding::layers`] and [`super::winding_resistance`].
///
/// ```
/// use coilwright_coil::loss::{RectangularWinding, Wire, rectangular_resistance};
/// let antenna = RectangularWinding {
///     width_m: 0.2, height_m: 0.1, turns: 20, turns_per_layer: 10, pitch_m: 0.33e-3 };
/// let wire = Wire::Solid { diameter_m: 0.3e-3 };
/// let resistance = rectangular_resistance(&antenna, &wire, 1.7241e-8, 125e3)?;
/// assert!(resistance.proximity_ohm > resistance.skin_ohm);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn rectangular_resistance(
    winding: &RectangularWinding,
    wire: &Wire,
    resistivity_ohm_m: f64,
    frequency_hz: f64,
) -> Result<WindingResistance, ModelError> {
    let thickness = thickness(wire, resistivity_ohm_m, frequency_hz)?;
    room(winding.pitch_m, wire)?;
    let across = field_square_length(&winding.places()?, 0.5 * wire.outer_diameter_m());
    with_proximity(
        wire,
        (winding.wire_length_m()?, across),
        (resistivity_ohm_m, frequency_hz),
        thickness,
        FERREIRA,
    )
}

/// `Σ ∮ H² dl` for one ampere, per metre.
fn field_square_length(places: &[Place], corner: f64) -> f64 {
    let rule = GaussLegendre::crowded(NODES, 3);
    let half_side = |at: usize, along_x: bool| -> f64 {
        let place = places[at];
        let (half, other) = if along_x {
            (place.half_width, place.half_height)
        } else {
            (place.half_height, place.half_width)
        };
        let reach = (half - corner).max(0.0);
        let square = |share: f64| {
            let point = ((1.0 - share) * reach, other, place.z);
            let field = places
                .iter()
                .enumerate()
                .map(|(from, &source)| {
                    let source = if along_x { source } else { source.turned() };
                    across_side(source, point, from == at)
                })
                .fold((0.0, 0.0), |sum, part| (sum.0 + part.0, sum.1 + part.1));
            field.0 * field.0 + field.1 * field.1
        };
        reach * rule.integrate(0.0, 1.0, square)
    };
    // Two sides of each direction, two halves of each side.
    4.0 * (0..places.len())
        .map(|at| half_side(at, true) + half_side(at, false))
        .sum::<f64>()
}

impl Place {
    const fn turned(self) -> Self {
        Self {
            half_width: self.half_height,
            half_height: self.half_width,
            z: self.z,
        }
    }
}

/// Field of a turn at a point beside its upper side, which runs along x: across x, as y and z, ampere per metre for one ampere. The
/// point's own side is left out.
fn across_side(turn: Place, (x, y, z): (f64, f64, f64), own: bool) -> (f64, f64) {
    let (w, h) = (turn.half_width, turn.half_height);
    let dz = z - turn.z;
    let (mut across_y, mut across_z) = (0.0, 0.0);
    // Sides along x: the current flows to −x at y = h and to +x at y = −h.
    for (side, way) in [(h, -1.0), (-h, 1.0)] {
        if own && side > 0.0 {
            continue;
        }
        let dy = y - side;
        let strength = way * straight(dy * dy + dz * dz, (x - w, x + w));
        across_y -= strength * dz;
        across_z += strength * dy;
    }
    // Sides along y: to +y at x = w and to −y at x = −w. Their field lies in x and z; only z is across the wire.
    for (side, way) in [(w, 1.0), (-w, -1.0)] {
        let dx = x - side;
        across_z -= way * straight(dx * dx + dz * dz, (y - h, y + h)) * dx;
    }
    (across_y, across_z)
}

/// Field of a straight wire over the distance, per square metre: [b/√(s² + b²) − a/√(s² + a²)]/(4π s²) for ends at a and b along it.
fn straight(square: f64, (a, b): (f64, f64)) -> f64 {
    let end = |t: f64| t / (square + t * t).sqrt();
    (end(b) - end(a)) / (4.0 * PI * square)
}
