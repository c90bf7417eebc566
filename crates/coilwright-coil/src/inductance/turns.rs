//! A layered winding turn by turn: self inductances of the loops and mutual inductances of all pairs.

use super::{CircularLoop, Conductor, Section, circular_loop_henry};
use crate::coupling::mutual_henry;
use crate::model_error::{count, positive};
use crate::{Formula, ModelError, Modelled};

const TURN_SUM: Formula = Formula {
    name: "sum over turns, Maxwell's circles",
    reference: "Maxwell 1873, Treatise vol. 2 art. 701; turns as closed circles",
};
/// More turns than any coil of this kind has; the work grows with layers² times turns in a layer.
pub const MOST_TURNS: usize = 5000;

/// A winding in layers, each turn above the one below; the last layer may be part full.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct LayerWinding {
    /// Radius of the former, under the first layer, metres.
    pub former_radius_m: f64,
    /// Turns in all.
    pub turns: usize,
    /// Turns of a full layer.
    pub turns_per_layer: usize,
    /// Distance of turns in a layer from centre to centre, metres; at least the diameter over the insulation.
    pub axial_pitch_m: f64,
    /// Distance of layers from centre to centre, metres.
    pub layer_pitch_m: f64,
    /// The wire: bare metal.
    pub conductor: Conductor,
}

/// One turn of a winding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Radius to its centre, metres.
    pub radius_m: f64,
    /// Height over the first turn, metres.
    pub height_m: f64,
}

impl LayerWinding {
    /// The number of layers, the last perhaps part full, after checking counts and sizes.
    ///
    /// # Errors
    ///
    /// If a count is zero or more than 5000, a size is not positive, or the wire thicker than a pitch.
    pub fn layers(&self) -> Result<usize, ModelError> {
        count("turns", self.turns, MOST_TURNS)?;
        count("turns in a layer", self.turns_per_layer, MOST_TURNS)?;
        positive("radius of the former", self.former_radius_m, "m")?;
        let axial = positive("axial pitch", self.axial_pitch_m, "m")?;
        let layer = positive("layer pitch", self.layer_pitch_m, "m")?;
        let layers = self.turns.div_ceil(self.turns_per_layer);
        let width = positive("width of the wire", self.conductor.width_m(), "m")?;
        for (first, pitch) in [("the axial pitch", axial), ("the layer pitch", layer)] {
            // Nested layers of round wire lie at √3/2 of a diameter.
            if width > pitch * 1.155 || (first == "the axial pitch" && width > pitch * (1.0 + 1e-9))
            {
                return Err(ModelError::NoRoom {
                    first,
                    second: "the wire",
                    found_m: pitch,
                    needed_m: width,
                });
            }
        }
        Ok(layers)
    }

    /// Turns in a layer, counted from 0 at the former.
    #[must_use]
    pub fn turns_in_layer(&self, layer: usize) -> usize {
        self.turns
            .saturating_sub(layer * self.turns_per_layer)
            .min(self.turns_per_layer)
    }

    /// Radius to the centres of a layer, counted from 0 at the former, metres.
    #[must_use]
    pub fn layer_radius_m(&self, layer: usize) -> f64 {
        self.former_radius_m + self.layer_pitch_m * (layer as f64 + 0.5)
    }

    /// Where every turn is, layer by layer from the former.
    ///
    /// # Errors
    ///
    /// As [`Self::layers`].
    pub fn positions(&self) -> Result<Vec<Turn>, ModelError> {
        let layers = self.layers()?;
        Ok((0..layers)
            .flat_map(|layer| {
                (0..self.turns_in_layer(layer)).map(move |i| Turn {
                    radius_m: self.layer_radius_m(layer),
                    height_m: i as f64 * self.axial_pitch_m,
                })
            })
            .collect())
    }

    /// The section that the winding fills, half a pitch over at each side.
    ///
    /// # Errors
    ///
    /// As [`Self::layers`].
    pub fn section(&self) -> Result<Section, ModelError> {
        let depth = self.layers()? as f64 * self.layer_pitch_m;
        Ok(Section {
            mean_radius_m: self.former_radius_m + 0.5 * depth,
            axial_length_m: self.turns.min(self.turns_per_layer) as f64 * self.axial_pitch_m,
            radial_depth_m: depth,
        })
    }

    /// Length of the wire without its ends, metres.
    ///
    /// # Errors
    ///
    /// As [`Self::layers`].
    pub fn wire_length_m(&self) -> Result<f64, ModelError> {
        let turn = |l: usize| self.layer_radius_m(l) * self.turns_in_layer(l) as f64;
        Ok(std::f64::consts::TAU * (0..self.layers()?).map(turn).sum::<f64>())
    }

    /// Sum of the areas of all turns, square metres: what the voltage in an even field is proportional to.
    ///
    /// # Errors
    ///
    /// As [`Self::layers`].
    pub fn turns_area_m2(&self) -> Result<f64, ModelError> {
        let turn = |l: usize| self.layer_radius_m(l).powi(2) * self.turns_in_layer(l) as f64;
        Ok(std::f64::consts::PI * (0..self.layers()?).map(turn).sum::<f64>())
    }
}

/// Inductance of a layered winding, henry: the sum of its loops' inductances and of the mutual inductances of all pairs, at the
/// centres of the wires.
///
/// Accuracy: 0.1 % plus what the pitch of the helix adds, (p/2πa)²/2, and the thickness of the wire against the radius. Valid for
/// wires of half width up to 0.2 of the smallest radius.
///
/// # Errors
///
/// As [`LayerWinding::layers`] and [`circular_loop_henry`].
///
/// ```
/// use coilwright_coil::inductance::{Conductor, LayerWinding, turn_sum_henry};
/// let winding = LayerWinding {
///     former_radius_m: 15e-3, turns: 100, turns_per_layer: 20,
///     axial_pitch_m: 0.3e-3, layer_pitch_m: 0.3e-3, conductor: Conductor::round(0.25e-3),
/// };
/// let inductance = turn_sum_henry(&winding)?;
/// assert!((inductance.value - 0.48e-3).abs() < 0.02e-3);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn turn_sum_henry(winding: &LayerWinding) -> Result<Modelled, ModelError> {
    let layers = winding.layers()?;
    let mut sum = 0.0;
    let mut accuracy = 1e-3_f64;
    for outer in 0..layers {
        let own = circular_loop_henry(&CircularLoop {
            radius_m: winding.layer_radius_m(outer),
            conductor: winding.conductor,
        })?;
        sum += own.value * winding.turns_in_layer(outer) as f64;
        accuracy = accuracy.max(1e-3 + own.relative_accuracy);
        for inner in 0..=outer {
            let pairs = layer_pair_henry(winding, outer, inner);
            sum += if inner == outer { pairs } else { 2.0 * pairs };
        }
    }
    let slope = winding.axial_pitch_m / (std::f64::consts::TAU * winding.layer_radius_m(0));
    Ok(Modelled::new(sum, accuracy + 0.5 * slope * slope, TURN_SUM))
}

/// Mutual inductances of all turns of one layer with all of another, the pairs counted by their axial distance. In one layer a turn
/// is not paired with itself.
fn layer_pair_henry(winding: &LayerWinding, outer: usize, inner: usize) -> f64 {
    let (n, m) = (winding.turns_in_layer(outer), winding.turns_in_layer(inner));
    let (a, b) = (winding.layer_radius_m(outer), winding.layer_radius_m(inner));
    // Place 0 is the first turn of one layer beside the last of the other, place m − 1 the first turns side by side.
    (0..n + m - 1)
        .filter(|&place| inner != outer || place + 1 != m)
        .map(|place| {
            let pairs = n.min(m).min(place + 1).min(n + m - 1 - place) as f64;
            let steps = place as f64 - (m - 1) as f64;
            pairs * mutual_henry(a, b, steps * winding.axial_pitch_m)
        })
        .sum()
}
