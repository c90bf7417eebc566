use coilwright_coil::capacitance::{LayerOrder, layered_farad, medhurst_farad};
use coilwright_coil::coupling::{Placement, circles_henry};
use coilwright_coil::inductance::{
    CircularLoop, FerriteRod, FlatSpiral, LayerWinding, RectangularCoil, RectangularLoop, Section,
    Solenoid, circular_loop_henry, circular_loop_rayleigh_niven_henry, current_sheet_henry,
    flat_spiral_henry, multilayer_henry, rectangular_coil_henry, rectangular_loop_henry,
    rod_permeability, section_henry, turn_sum_henry, wheeler_multilayer_1928_henry,
    wheeler_solenoid_1928_henry, wheeler_solenoid_1982_henry,
};
use coilwright_coil::{ModelError, Modelled};
use pyo3::prelude::*;
use serde::Deserialize;

use super::convert::{from_text, to_text};
use crate::error::from_model;

/// What one formula answers with a number and its accuracy.
#[derive(Deserialize)]
#[serde(tag = "formula", rename_all = "snake_case")]
enum Question {
    Loop(CircularLoop),
    LoopRayleighNiven(CircularLoop),
    Rectangle(RectangularLoop),
    RectangularCoil(RectangularCoil),
    Sheet(Solenoid),
    Wheeler1928(Solenoid),
    Wheeler1982(Solenoid),
    TurnSum(LayerWinding),
    Multilayer(LayerWinding),
    Spiral(FlatSpiral),
    Section {
        section: Section,
        turns: f64,
    },
    SectionWheeler1928 {
        section: Section,
        turns: f64,
    },
    Rod(FerriteRod),
    Medhurst(Solenoid),
    Layered {
        winding: LayerWinding,
        insulated_diameter_m: f64,
        relative_permittivity: f64,
        order: LayerOrder,
    },
    Circles {
        first_radius_m: f64,
        second_radius_m: f64,
        placement: Placement,
    },
}

/// Returns the JSON form of a formula's number.
#[pyfunction]
pub(crate) fn coil_formula(py: Python<'_>, question: &str) -> PyResult<String> {
    let question: Question = from_text(question)?;
    let answer = py
        .detach(|| answer(question))
        .map_err(|error| from_model(py, &error))?;
    to_text(&answer)
}

fn answer(question: Question) -> Result<Modelled, ModelError> {
    Ok(match question {
        Question::Loop(turn) => circular_loop_henry(&turn)?,
        Question::LoopRayleighNiven(turn) => circular_loop_rayleigh_niven_henry(&turn)?,
        Question::Rectangle(turn) => rectangular_loop_henry(&turn)?,
        Question::RectangularCoil(coil) => rectangular_coil_henry(&coil)?,
        Question::Sheet(solenoid) => current_sheet_henry(&solenoid)?,
        Question::Wheeler1928(solenoid) => wheeler_solenoid_1928_henry(&solenoid)?,
        Question::Wheeler1982(solenoid) => wheeler_solenoid_1982_henry(&solenoid)?,
        Question::TurnSum(winding) => turn_sum_henry(&winding)?,
        Question::Multilayer(winding) => multilayer_henry(&winding)?,
        Question::Spiral(spiral) => flat_spiral_henry(&spiral)?,
        Question::Section { section, turns } => section_henry(&section, turns)?,
        Question::SectionWheeler1928 { section, turns } => {
            wheeler_multilayer_1928_henry(&section, turns)?
        }
        Question::Rod(rod) => rod_permeability(&rod)?,
        Question::Medhurst(solenoid) => medhurst_farad(&solenoid)?,
        Question::Layered {
            winding,
            insulated_diameter_m,
            relative_permittivity,
            order,
        } => layered_farad(&winding, insulated_diameter_m, relative_permittivity, order)?,
        Question::Circles {
            first_radius_m,
            second_radius_m,
            placement,
        } => circles_henry(first_radius_m, second_radius_m, &placement)?,
    })
}
