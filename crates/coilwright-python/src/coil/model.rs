use coilwright_coil::ModelError;
use coilwright_coil::antenna::{
    DrivenRing, KeyCoil, Listener, axial_field_tesla, bit_rate_fit, energising_range_m, key_volt,
    tuning_farad,
};
use coilwright_coil::coupling::{
    HalfSpace, Placement, SectionCoil, coupling_coefficient, half_space_change,
};
use coilwright_coil::inductance::LayerWinding;
use coilwright_coil::loss::{Metal, Wire, skin_effect, winding_resistance};
use pyo3::prelude::*;
use serde::{Deserialize, Serialize};

use super::convert::{from_text, to_text};
use crate::error::from_model;

/// What can be asked of the models of more than one number.
#[derive(Deserialize)]
#[serde(tag = "model", rename_all = "snake_case")]
enum Question {
    Winding(LayerWinding),
    Resistance {
        winding: LayerWinding,
        wire: Wire,
        metal: Metal,
        temperature_c: f64,
        frequency_hz: f64,
    },
    Skin {
        diameter_m: f64,
        metal: Metal,
        temperature_c: f64,
        frequency_hz: f64,
    },
    Coupling {
        first: SectionCoil,
        second: SectionCoil,
        placement: Placement,
    },
    HalfSpace {
        coil: SectionCoil,
        body: HalfSpace,
        frequency_hz: f64,
    },
    Tuning {
        inductance_henry: f64,
        resonance_hz: f64,
    },
    Driven(DrivenRing),
    Listener {
        listener: Listener,
        frequency_hz: f64,
    },
    BitRate {
        resonance_hz: f64,
        q: f64,
        bits_per_second: f64,
    },
    AxialField {
        radius_m: f64,
        ampere_turns: f64,
        distance_m: f64,
    },
    KeyVolt {
        turns: f64,
        area_m2: f64,
        q: f64,
        field_tesla: f64,
        frequency_hz: f64,
        angle_rad: f64,
    },
    Range {
        radius_m: f64,
        ampere_turns: f64,
        needed_tesla: f64,
    },
}

/// A winding's own sizes.
#[derive(Serialize)]
struct WindingSizes {
    layers: usize,
    wire_length_m: f64,
    turns_area_m2: f64,
    mean_radius_m: f64,
    axial_length_m: f64,
    radial_depth_m: f64,
}

/// Returns the JSON form of a model's answer.
#[pyfunction]
pub(crate) fn coil_model(py: Python<'_>, question: &str) -> PyResult<String> {
    let question: Question = from_text(question)?;
    py.detach(|| answer(question))
        .map_err(|error| from_model(py, &error))?
}

fn answer(question: Question) -> Result<PyResult<String>, ModelError> {
    Ok(match question {
        Question::Winding(winding) => to_text(&sizes(&winding)?),
        Question::Resistance {
            winding,
            wire,
            metal,
            temperature_c,
            frequency_hz,
        } => {
            let resistivity = metal.resistivity_ohm_m(temperature_c)?;
            to_text(&winding_resistance(
                &winding,
                &wire,
                resistivity,
                frequency_hz,
            )?)
        }
        Question::Skin {
            diameter_m,
            metal,
            temperature_c,
            frequency_hz,
        } => {
            let resistivity = metal.resistivity_ohm_m(temperature_c)?;
            to_text(&skin_effect(diameter_m, resistivity, frequency_hz)?)
        }
        Question::Coupling {
            first,
            second,
            placement,
        } => to_text(&coupling_coefficient(&first, &second, &placement)?),
        Question::HalfSpace {
            coil,
            body,
            frequency_hz,
        } => to_text(&half_space_change(&coil, &body, frequency_hz)?),
        Question::Tuning {
            inductance_henry,
            resonance_hz,
        } => to_text(&tuning_farad(inductance_henry, resonance_hz)?),
        Question::Driven(ring) => to_text(&ring.state()?),
        Question::Listener {
            listener,
            frequency_hz,
        } => to_text(&listener.at(frequency_hz)?),
        Question::BitRate {
            resonance_hz,
            q,
            bits_per_second,
        } => to_text(&bit_rate_fit(resonance_hz, q, bits_per_second)?),
        Question::AxialField {
            radius_m,
            ampere_turns,
            distance_m,
        } => to_text(&axial_field_tesla(radius_m, ampere_turns, distance_m)?),
        Question::KeyVolt {
            turns,
            area_m2,
            q,
            field_tesla,
            frequency_hz,
            angle_rad,
        } => {
            let key = KeyCoil { turns, area_m2, q };
            to_text(&key_volt(&key, field_tesla, frequency_hz, angle_rad)?)
        }
        Question::Range {
            radius_m,
            ampere_turns,
            needed_tesla,
        } => to_text(&energising_range_m(radius_m, ampere_turns, needed_tesla)?),
    })
}

fn sizes(winding: &LayerWinding) -> Result<WindingSizes, ModelError> {
    let section = winding.section()?;
    Ok(WindingSizes {
        layers: winding.layers()?,
        wire_length_m: winding.wire_length_m()?,
        turns_area_m2: winding.turns_area_m2()?,
        mean_radius_m: section.mean_radius_m,
        axial_length_m: section.axial_length_m,
        radial_depth_m: section.radial_depth_m,
    })
}
