//! Views as dictionaries of NumPy arrays; a view that a stretch does not carry is `None`.

use coilwright_signal::view::{Constellation, Eye, KeyViews, Spectrum, Timing, Views};
use numpy::PyArray1;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

use crate::stretch::Read;

/// `bits` (uint8) and `soft_bits` (float32) of one key.
pub(crate) fn key_arrays(py: Python<'_>, read: Read) -> PyResult<Bound<'_, PyDict>> {
    let arrays = PyDict::new(py);
    arrays.set_item("bits", PyArray1::from_vec(py, read.bits))?;
    arrays.set_item("soft_bits", PyArray1::from_vec(py, read.soft_bits))?;
    Ok(arrays)
}

/// `spectrum` and, for each of `keys`, `eye`, `timing` and `constellation`.
pub(crate) fn view_arrays(py: Python<'_>, views: Views) -> PyResult<Bound<'_, PyDict>> {
    let arrays = PyDict::new(py);
    let spectrum = views.spectrum.map(|view| spectrum(py, &view)).transpose()?;
    arrays.set_item("spectrum", spectrum)?;
    let keys: PyResult<Vec<_>> = views.keys.into_iter().map(|key| of_key(py, key)).collect();
    arrays.set_item("keys", PyList::new(py, keys?)?)?;
    Ok(arrays)
}

fn spectrum<'py>(py: Python<'py>, view: &Spectrum) -> PyResult<Bound<'py, PyDict>> {
    let arrays = PyDict::new(py);
    let frequencies_hz = (0..view.level_dbc.len()).map(|index| view.frequency_hz(index));
    arrays.set_item("frequency_hz", PyArray1::from_iter(py, frequencies_hz))?;
    arrays.set_item("level_dbc", PyArray1::from_slice(py, &view.level_dbc))?;
    arrays.set_item("noise_dbc", view.noise_dbc)?;
    let lines: Vec<(String, f64, f64)> = view
        .lines
        .iter()
        .map(|line| (line.kind.to_string(), line.frequency_hz, line.level_dbc))
        .collect();
    arrays.set_item("lines", lines)?;
    Ok(arrays)
}

fn of_key(py: Python<'_>, views: KeyViews) -> PyResult<Bound<'_, PyDict>> {
    let arrays = PyDict::new(py);
    arrays.set_item("eye", views.eye.map(|view| eye(py, view)).transpose()?)?;
    let timing = views.timing.map(|view| timing(py, view)).transpose()?;
    arrays.set_item("timing", timing)?;
    let constellation = views.constellation.map(|view| constellation(py, view));
    arrays.set_item("constellation", constellation.transpose()?)?;
    Ok(arrays)
}

fn eye(py: Python<'_>, view: Eye) -> PyResult<Bound<'_, PyDict>> {
    let arrays = PyDict::new(py);
    arrays.set_item("time_bits", PyArray1::from_vec(py, view.time_bits))?;
    arrays.set_item("values", PyArray1::from_vec(py, view.values))?;
    arrays.set_item("bits", indices(py, &view.bits))?;
    Ok(arrays)
}

fn timing(py: Python<'_>, view: Timing) -> PyResult<Bound<'_, PyDict>> {
    let arrays = PyDict::new(py);
    arrays.set_item("position_samples", PyArray1::from_vec(py, view.positions))?;
    arrays.set_item("error_bits", PyArray1::from_vec(py, view.errors_bits))?;
    arrays.set_item("mean_bits", view.mean_bits)?;
    arrays.set_item("jitter_bits", view.jitter_bits)?;
    Ok(arrays)
}

fn constellation(py: Python<'_>, view: Constellation) -> PyResult<Bound<'_, PyDict>> {
    let arrays = PyDict::new(py);
    arrays.set_item("axes", view.axes.identifier())?;
    arrays.set_item("points", PyArray1::from_vec(py, view.points))?;
    arrays.set_item("half_bits", indices(py, &view.half_bits))?;
    arrays.set_item("axis_rad", view.axis_rad)?;
    Ok(arrays)
}

fn indices<'py>(py: Python<'py>, indices: &[usize]) -> Bound<'py, PyArray1<i64>> {
    PyArray1::from_iter(py, indices.iter().map(|&index| index as i64))
}
