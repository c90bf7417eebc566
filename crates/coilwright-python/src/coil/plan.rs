use coilwright_coil::design::{Aim, Room, ShelfWire, find_windings};
use coilwright_coil::pickup::{Materials, PickupPlan, RecorderInput, RingNearby, plan_pickup};
use pyo3::prelude::*;
use serde::{Deserialize, Serialize};

use super::convert::{from_text, to_text};
use crate::error::from_model;

#[derive(Deserialize)]
struct Design {
    room: Room,
    shelf: Vec<ShelfWire>,
    aim: Aim,
}

#[derive(Deserialize)]
struct Pickup {
    materials: Materials,
    input: RecorderInput,
    ring: RingNearby,
}

/// A plan with its cautions in words.
#[derive(Serialize)]
struct WordedPlan {
    #[serde(flatten)]
    plan: PickupPlan,
    warnings: Vec<String>,
}

/// Returns the JSON form of the windings that meet an aim.
#[pyfunction]
pub(crate) fn coil_design(py: Python<'_>, design: &str) -> PyResult<String> {
    let Design { room, shelf, aim } = from_text(design)?;
    let windings = py
        .detach(|| find_windings(&room, &shelf, &aim))
        .map_err(|error| from_model(py, &error))?;
    to_text(&windings)
}

/// Returns the JSON form of the pickup coil that materials and input allow.
#[pyfunction]
pub(crate) fn coil_pickup(py: Python<'_>, pickup: &str) -> PyResult<String> {
    let Pickup {
        materials,
        input,
        ring,
    } = from_text(pickup)?;
    let plan = py
        .detach(|| plan_pickup(&materials, &input, &ring))
        .map_err(|error| from_model(py, &error))?;
    let warnings = plan.cautions.iter().map(ToString::to_string).collect();
    to_text(&WordedPlan { plan, warnings })
}
