use coilwright_coil::ModelError;
use coilwright_coil::tolerance::{Part, spread_of};
use numpy::PyArray1;
use pyo3::prelude::*;
use pyo3::types::PyTuple;
use serde::Deserialize;
use std::cell::RefCell;

use super::convert::{WithCurve, from_text, with_curve};
use crate::error::from_model;

#[derive(Deserialize)]
struct Parts {
    parts: Vec<Part>,
}

/// Returns the JSON form of how a function's value spreads with its parts, and the trials in rising order.
///
/// The function is called with one float for each part; what it raises comes out.
#[pyfunction]
pub(crate) fn coil_spread<'py>(
    py: Python<'py>,
    function: Bound<'py, PyAny>,
    parts: &str,
    trials: usize,
    seed: u64,
) -> PyResult<WithCurve<'py, f64>> {
    let Parts { parts } = from_text(parts)?;
    let raised = RefCell::new(None);
    let value = |values: &[f64]| {
        let called = PyTuple::new(py, values)
            .and_then(|arguments| function.call1(arguments)?.extract::<f64>());
        called.map_err(|error| {
            raised.replace(Some(error));
            ModelError::NotFinite {
                quantity: "result with these parts",
                found: f64::NAN,
                unit: "",
            }
        })
    };
    let result = spread_of(&parts, trials, seed, value);
    if let Some(error) = raised.into_inner() {
        return Err(error);
    }
    let mut result = result.map_err(|error| from_model(py, &error))?;
    let drawn = std::mem::take(&mut result.trials);
    with_curve(py, &result, drawn)
}

/// Returns the diameters in metres of American wire gauges.
#[pyfunction]
pub(crate) fn coil_awg_diameters(
    py: Python<'_>,
    gauges: Vec<i32>,
) -> PyResult<Bound<'_, PyArray1<f64>>> {
    let diameters: Result<Vec<f64>, ModelError> = gauges
        .into_iter()
        .map(coilwright_coil::loss::awg_diameter_m)
        .collect();
    let diameters = diameters.map_err(|error| from_model(py, &error))?;
    Ok(PyArray1::from_vec(py, diameters))
}
