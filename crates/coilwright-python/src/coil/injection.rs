use coilwright_coil::{
    ResponseOptions, StimulusPlan, TransferBand, fit_injection, highest_playable_hz, make_stimulus,
    transfer_function,
};
use num_complex::Complex64;
use numpy::{PyArray1, PyReadonlyArray1};
use pyo3::prelude::*;
use serde::Deserialize;

use super::convert::{copied, from_text, to_text};
use crate::error::from_fit;

/// JSON form of the fit, its curve, and frequency, response, coherence and deviation of the points.
type Injected<'py> = (
    String,
    Bound<'py, PyArray1<Complex64>>,
    Bound<'py, PyArray1<f64>>,
    Bound<'py, PyArray1<Complex64>>,
    Bound<'py, PyArray1<f64>>,
    Bound<'py, PyArray1<f64>>,
);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Settings {
    band: TransferBand,
    response: ResponseOptions,
}

/// Returns the fit to the transfer function from a stimulus to a pickup.
#[pyfunction]
pub(crate) fn coil_fit_injection<'py>(
    py: Python<'py>,
    stimulus: PyReadonlyArray1<'py, f32>,
    pickup: PyReadonlyArray1<'py, f32>,
    sample_rate_hz: f64,
    settings: &str,
) -> PyResult<Injected<'py>> {
    let (stimulus, pickup) = (copied(&stimulus)?, copied(&pickup)?);
    let Settings { band, response } = from_text(settings)?;
    let (points, mut fit) = py
        .detach(|| {
            let points = transfer_function(&stimulus, &pickup, sample_rate_hz, &band)?;
            let fit = fit_injection(&points, &response)?;
            Ok((points, fit))
        })
        .map_err(|error| from_fit(py, &error))?;
    let curve = std::mem::take(&mut fit.response.curve);
    Ok((
        to_text(&fit)?,
        PyArray1::from_vec(py, curve),
        PyArray1::from_iter(py, points.iter().map(|p| p.frequency_hz)),
        PyArray1::from_iter(py, points.iter().map(|p| p.response)),
        PyArray1::from_iter(py, points.iter().map(|p| p.coherence)),
        PyArray1::from_iter(py, points.iter().map(|p| p.std_dev)),
    ))
}

/// Returns the samples of a stimulus.
#[pyfunction]
pub(crate) fn coil_make_stimulus<'py>(
    py: Python<'py>,
    plan: &str,
) -> PyResult<Bound<'py, PyArray1<f32>>> {
    let plan: StimulusPlan = from_text(plan)?;
    let samples = py
        .detach(|| make_stimulus(&plan))
        .map_err(|error| from_fit(py, &error))?;
    Ok(PyArray1::from_vec(py, samples))
}

/// Returns the highest frequency that a sound card makes.
#[pyfunction]
pub(crate) fn coil_highest_playable_hz(sample_rate_hz: f64) -> f64 {
    highest_playable_hz(sample_rate_hz)
}
