use std::path::PathBuf;

use coilwright_signal::table::{
    ImpedanceReadOptions, TableWarning, read_impedance_table, read_sweep_table, read_touchstone,
};
use num_complex::Complex64;
use numpy::PyArray1;
use pyo3::prelude::*;

use crate::error::from_table;

/// Frequencies, values by rows, and what was doubtful.
type Table<'py, T> = (
    Bound<'py, PyArray1<f64>>,
    Bound<'py, PyArray1<T>>,
    Vec<String>,
);

/// Returns a Touchstone file: frequencies, scattering matrices by rows, warnings, and the ports' references in ohm.
#[pyfunction]
pub(crate) fn coil_read_touchstone(
    py: Python<'_>,
    path: PathBuf,
) -> PyResult<(Table<'_, Complex64>, Vec<f64>)> {
    let file = py
        .detach(|| read_touchstone(path))
        .map_err(|error| from_table(&error))?;
    let table = (
        PyArray1::from_vec(py, file.frequencies_hz),
        PyArray1::from_vec(py, file.scattering),
        words(&file.warnings),
    );
    Ok((table, file.reference_ohm))
}

/// Returns an impedance meter's table: frequencies, impedances in ohm, warnings.
#[pyfunction]
pub(crate) fn coil_read_impedance_table(
    py: Python<'_>,
    path: PathBuf,
) -> PyResult<Table<'_, Complex64>> {
    let table = py
        .detach(|| read_impedance_table(path, &ImpedanceReadOptions::default()))
        .map_err(|error| from_table(&error))?;
    Ok((
        PyArray1::from_vec(py, table.frequencies_hz),
        PyArray1::from_vec(py, table.impedances_ohm),
        words(&table.warnings),
    ))
}

/// A table of amplitudes, and the complex response where it has phases.
type Sweep<'py> = (Table<'py, f64>, Option<Bound<'py, PyArray1<Complex64>>>);

/// Returns a table of amplitudes: frequencies, amplitudes, warnings, and the response where the file has phases.
#[pyfunction]
pub(crate) fn coil_read_sweep_table(py: Python<'_>, path: PathBuf) -> PyResult<Sweep<'_>> {
    let table = py
        .detach(|| read_sweep_table(path))
        .map_err(|error| from_table(&error))?;
    let response = table.response.map(|r| PyArray1::from_vec(py, r));
    let table = (
        PyArray1::from_vec(py, table.frequencies_hz),
        PyArray1::from_vec(py, table.amplitudes),
        words(&table.warnings),
    );
    Ok((table, response))
}

fn words(warnings: &[TableWarning]) -> Vec<String> {
    warnings.iter().map(ToString::to_string).collect()
}
