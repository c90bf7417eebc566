use coilwright_coil::{
    Connection, ReflectionOptions, ResponseOptions, TwoPort, fit_coil_reflection,
    fit_coupled_coils, fit_q_circle, reflection_to_impedance,
};
use num_complex::Complex64;
use numpy::PyArray1;
use pyo3::prelude::*;
use serde::Deserialize;

use super::convert::{Complexes, Reals, WithCurve, copied, fitted, from_text, to_text};
use crate::error::from_fit;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Circle {
    connection: Connection,
    response: ResponseOptions,
}

/// Returns the JSON form of a resonance circle's fit, and its curve.
#[pyfunction]
pub(crate) fn coil_fit_circle<'py>(
    py: Python<'py>,
    frequencies_hz: Reals<'py>,
    response: Complexes<'py>,
    settings: &str,
) -> PyResult<WithCurve<'py, Complex64>> {
    let (frequencies, response) = (copied(&frequencies_hz)?, copied(&response)?);
    let settings: Circle = from_text(settings)?;
    let fit = || {
        let (connection, options) = (settings.connection, &settings.response);
        fit_q_circle(&frequencies, &response, connection, options)
    };
    fitted(py, fit, |fit| &mut fit.response.curve)
}

/// Returns the JSON form of an untuned coil's fit to its reflection, and the curve of its impedance.
#[pyfunction]
pub(crate) fn coil_fit_reflection<'py>(
    py: Python<'py>,
    frequencies_hz: Reals<'py>,
    reflection: Complexes<'py>,
    reference_ohm: f64,
    calibration_std_dev: Option<f64>,
    largest_relative: Option<f64>,
    reference_hz: Option<f64>,
) -> PyResult<WithCurve<'py, Complex64>> {
    let (frequencies, reflection) = (copied(&frequencies_hz)?, copied(&reflection)?);
    let usual = ReflectionOptions::default();
    let options = ReflectionOptions {
        calibration_std_dev: calibration_std_dev.unwrap_or(usual.calibration_std_dev),
        largest_relative: largest_relative.unwrap_or(usual.largest_relative),
        reference_hz,
    };
    let fit = || fit_coil_reflection(&frequencies, &reflection, reference_ohm, &options);
    fitted(py, fit, |fit| &mut fit.curve_ohm)
}

/// Returns the JSON form of two coupled coils' fit; the matrices lie one after the other by rows.
#[pyfunction]
pub(crate) fn coil_fit_coupled(
    py: Python<'_>,
    frequencies_hz: Reals<'_>,
    scattering: Complexes<'_>,
    references_ohm: [f64; 2],
) -> PyResult<String> {
    let (frequencies, scattering) = (copied(&frequencies_hz)?, copied(&scattering)?);
    let (matrices, _) = scattering.as_chunks::<4>();
    let ports: Vec<TwoPort> = matrices
        .iter()
        .map(|&[s11, s12, s21, s22]| TwoPort { s11, s21, s12, s22 })
        .collect();
    let coils = py
        .detach(|| fit_coupled_coils(&frequencies, &ports, references_ohm))
        .map_err(|error| from_fit(py, &error))?;
    to_text(&coils)
}

/// Returns the impedance that each reflection stands for.
#[pyfunction]
pub(crate) fn coil_reflection_to_impedance<'py>(
    py: Python<'py>,
    reflection: Complexes<'py>,
    reference_ohm: f64,
) -> PyResult<Bound<'py, PyArray1<Complex64>>> {
    let reflection = copied(&reflection)?;
    let each = reflection.into_iter();
    let impedances = each.map(|s| reflection_to_impedance(s, reference_ohm));
    Ok(PyArray1::from_iter(py, impedances))
}
