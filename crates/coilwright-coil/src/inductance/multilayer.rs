//! Layered winding of wire by its section and Rosa's correction: fast for many turns.

use super::wire_correction::section_correction_henry;
use super::{LayerWinding, section_henry};
use crate::{Formula, ModelError, Modelled};

const ROSA: Formula = Formula {
    name: "rectangular section with Rosa's correction for wire",
    reference: "Maxwell 1873; Rosa 1906, Bull. Bur. Standards 2, 161; Grover 1946 p. 99 (from memory)",
};

/// Inductance of a layered winding with full layers, henry: the section's, N² ⟨M⟩, plus Rosa's correction for wire
/// `μ₀ a N [ln(g_cell/g_wire) + E]`.
///
/// Accuracy 0.3 % for 20 turns and more in two layers and more; 1 % for 4 turns; a part-full last layer costs what it lacks (its missing turns
/// over all turns) on top. Use [`super::turn_sum_henry`] where it matters.
///
/// # Errors
///
/// As [`LayerWinding::layers`] and [`section_henry`].
pub fn multilayer_henry(winding: &LayerWinding) -> Result<Modelled, ModelError> {
    let section = winding.section()?;
    let turns = winding.turns as f64;
    let cell = (winding.axial_pitch_m, winding.layer_pitch_m);
    let solid = section_henry(&section, turns)?.value;
    let wire = section_correction_henry(section.mean_radius_m, turns, cell, &winding.conductor)?;
    let per_layer = winding.turns.min(winding.turns_per_layer);
    let missing = (winding.layers()? * per_layer - winding.turns) as f64 / turns;
    let accuracy = 0.003 + 0.03 / turns + missing;
    Ok(Modelled::new(solid + wire, accuracy, ROSA))
}
