use coilwright_coil::{
    ImpedanceNoise, ImpedanceOptions, fit_amplitude_sweep, fit_coil, fit_response, fit_series_ring,
    inductance_and_resistance,
};
use num_complex::Complex64;
use pyo3::prelude::*;
use serde::Deserialize;

use super::convert::{Complexes, Reals, WithCurve, copied, from_text, to_text, with_curve};
use crate::error::from_fit;

/// Returns the JSON form of an amplitude sweep's fit, and its curve.
#[pyfunction]
pub(crate) fn coil_fit_sweep<'py>(
    py: Python<'py>,
    frequencies_hz: Reals<'py>,
    amplitudes: Reals<'py>,
    settings: &str,
) -> PyResult<WithCurve<'py, f64>> {
    let (frequencies, amplitudes) = (copied(&frequencies_hz)?, copied(&amplitudes)?);
    let options = from_text(settings)?;
    let mut fit = py
        .detach(|| fit_amplitude_sweep(&frequencies, &amplitudes, &options))
        .map_err(|error| from_fit(py, &error))?;
    let curve = std::mem::take(&mut fit.curve);
    with_curve(py, &fit, curve)
}

/// Returns the JSON form of a complex response's fit, and its curve.
#[pyfunction]
pub(crate) fn coil_fit_response<'py>(
    py: Python<'py>,
    frequencies_hz: Reals<'py>,
    response: Complexes<'py>,
    settings: &str,
) -> PyResult<WithCurve<'py, Complex64>> {
    let (frequencies, response) = (copied(&frequencies_hz)?, copied(&response)?);
    let options = from_text(settings)?;
    let mut fit = py
        .detach(|| fit_response(&frequencies, &response, &options))
        .map_err(|error| from_fit(py, &error))?;
    let curve = std::mem::take(&mut fit.curve);
    with_curve(py, &fit, curve)
}

/// What is known of an impedance table's uncertainty.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Known {
    /// A factor to the magnitude.
    relative: Option<f64>,
    /// Whether the scale of the deviations at each point is known.
    scale_known: bool,
    reference_hz: Option<f64>,
}

impl Known {
    fn options<'a>(&self, deviations_ohm: Option<&'a [f64]>) -> ImpedanceOptions<'a> {
        let noise = match (deviations_ohm, self.relative) {
            (Some(each), _) if self.scale_known => ImpedanceNoise::KnownEach(each),
            (Some(each), _) => ImpedanceNoise::Each(each),
            (None, Some(relative)) => ImpedanceNoise::Relative(relative),
            (None, None) => ImpedanceNoise::Proportional,
        };
        ImpedanceOptions {
            noise,
            reference_hz: self.reference_hz,
        }
    }
}

/// Returns the JSON form of a coil's fit to a table of impedances, and its curve.
#[pyfunction]
pub(crate) fn coil_fit_impedance<'py>(
    py: Python<'py>,
    frequencies_hz: Reals<'py>,
    impedances_ohm: Complexes<'py>,
    deviations_ohm: Option<Reals<'py>>,
    settings: &str,
) -> PyResult<WithCurve<'py, Complex64>> {
    let (frequencies, impedances) = (copied(&frequencies_hz)?, copied(&impedances_ohm)?);
    let deviations = deviations_ohm.as_ref().map(copied).transpose()?;
    let known: Known = from_text(settings)?;
    let mut fit = py
        .detach(|| {
            let options = known.options(deviations.as_deref());
            fit_coil(&frequencies, &impedances, &options)
        })
        .map_err(|error| from_fit(py, &error))?;
    let curve = std::mem::take(&mut fit.curve_ohm);
    with_curve(py, &fit, curve)
}

/// Returns the JSON form of a series ring's fit to a table of impedances, and its curve.
#[pyfunction]
pub(crate) fn coil_fit_series_ring<'py>(
    py: Python<'py>,
    frequencies_hz: Reals<'py>,
    impedances_ohm: Complexes<'py>,
    deviations_ohm: Option<Reals<'py>>,
    settings: &str,
) -> PyResult<WithCurve<'py, Complex64>> {
    let (frequencies, impedances) = (copied(&frequencies_hz)?, copied(&impedances_ohm)?);
    let deviations = deviations_ohm.as_ref().map(copied).transpose()?;
    let known: Known = from_text(settings)?;
    let mut fit = py
        .detach(|| {
            let options = known.options(deviations.as_deref());
            fit_series_ring(&frequencies, &impedances, &options)
        })
        .map_err(|error| from_fit(py, &error))?;
    let curve = std::mem::take(&mut fit.curve_ohm);
    with_curve(py, &fit, curve)
}

/// Returns the JSON form of apparent inductance, resistance and Q at each frequency.
#[pyfunction]
pub(crate) fn coil_impedance_parts<'py>(
    py: Python<'py>,
    frequencies_hz: Reals<'py>,
    impedances_ohm: Complexes<'py>,
    deviations_ohm: Reals<'py>,
) -> PyResult<String> {
    let (frequencies, impedances) = (copied(&frequencies_hz)?, copied(&impedances_ohm)?);
    let deviations = copied(&deviations_ohm)?;
    let parts = py
        .detach(|| inductance_and_resistance(&frequencies, &impedances, &deviations))
        .map_err(|error| from_fit(py, &error))?;
    to_text(&parts)
}
