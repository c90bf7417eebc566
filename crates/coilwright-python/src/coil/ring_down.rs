use coilwright_coil::{BoundScene, RingDownOptions, Zone, damped_exponential_variance};
use coilwright_coil::{fit_ring_down, mode_bounds};
use numpy::{PyArray1, PyReadonlyArray1};
use pyo3::prelude::*;

use super::convert::{copied, from_text, to_text};
use crate::error::from_fit;

/// Returns the JSON form of a ring-down's fit and for each record the fitted curve.
#[pyfunction]
pub(crate) fn coil_fit_ring_down<'py>(
    py: Python<'py>,
    records: Vec<PyReadonlyArray1<'py, f32>>,
    sample_rate_hz: f64,
    near_hz: Option<f64>,
    settings: &str,
) -> PyResult<(String, Vec<Bound<'py, PyArray1<f64>>>)> {
    let records: Vec<Vec<f32>> = records.iter().map(copied).collect::<PyResult<_>>()?;
    let mut options: RingDownOptions = from_text(settings)?;
    if let Some(near_hz) = near_hz {
        options.zone = Zone::containing(near_hz, sample_rate_hz);
    }
    let slices: Vec<&[f32]> = records.iter().map(Vec::as_slice).collect();
    let fit = py
        .detach(|| fit_ring_down(&slices, sample_rate_hz, &options))
        .map_err(|error| from_fit(py, &error))?;
    let curves = fit.records.iter().zip(&records).map(|(fitted, record)| {
        let times = 0..record.len();
        PyArray1::from_iter(py, times.map(|n| fitted.at(n as f64 / sample_rate_hz)))
    });
    let curves = curves.collect();
    Ok((to_text(&fit)?, curves))
}

/// Returns the JSON form of the Cramér–Rao bounds of a scene's modes, null where they cannot be told apart.
#[pyfunction]
pub(crate) fn coil_mode_bounds(py: Python<'_>, scene: &str) -> PyResult<String> {
    let scene: BoundScene = from_text(scene)?;
    to_text(&py.detach(|| mode_bounds(&scene)))
}

/// Returns the least variance of frequency and decay of one damped complex exponential.
#[pyfunction]
pub(crate) fn coil_damped_exponential_variance(
    decay: f64,
    samples: usize,
    amplitude: f64,
    noise_rms: f64,
) -> f64 {
    damped_exponential_variance(decay, samples, amplitude, noise_rms)
}
