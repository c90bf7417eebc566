use coilwright_coil::{
    ImpedanceNoise, ImpedanceOptions, fit_amplitude_sweep, fit_coil, fit_response, fit_series_ring,
    inductance_and_resistance,
};
use num_complex::Complex64;
use pyo3::prelude::*;
use serde::Deserialize;

use super::convert::{Complexes, Reals, WithCurve, copied, fitted, from_text, to_text};
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
    let fit = || fit_amplitude_sweep(&frequencies, &amplitudes, &options);
    fitted(py, fit, |fit| &mut fit.curve)
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
    let fit = || fit_response(&frequencies, &response, &options);
    fitted(py, fit, |fit| &mut fit.curve)
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

/// A table of impedances, with the deviation at each point where it is known.
struct Table {
    frequencies_hz: Vec<f64>,
    impedances_ohm: Vec<Complex64>,
    deviations_ohm: Option<Vec<f64>>,
}

impl Table {
    fn of(
        frequencies_hz: &Reals<'_>,
        impedances_ohm: &Complexes<'_>,
        deviations_ohm: Option<&Reals<'_>>,
    ) -> PyResult<Self> {
        Ok(Self {
            frequencies_hz: copied(frequencies_hz)?,
            impedances_ohm: copied(impedances_ohm)?,
            deviations_ohm: deviations_ohm.map(copied).transpose()?,
        })
    }
}

impl Known {
    fn options<'a>(&self, table: &'a Table) -> ImpedanceOptions<'a> {
        let noise = match (table.deviations_ohm.as_deref(), self.relative) {
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
    let table = Table::of(&frequencies_hz, &impedances_ohm, deviations_ohm.as_ref())?;
    let known: Known = from_text(settings)?;
    let fit = || {
        fit_coil(
            &table.frequencies_hz,
            &table.impedances_ohm,
            &known.options(&table),
        )
    };
    fitted(py, fit, |fit| &mut fit.curve_ohm)
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
    let table = Table::of(&frequencies_hz, &impedances_ohm, deviations_ohm.as_ref())?;
    let known: Known = from_text(settings)?;
    let fit = || {
        let options = known.options(&table);
        fit_series_ring(&table.frequencies_hz, &table.impedances_ohm, &options)
    };
    fitted(py, fit, |fit| &mut fit.curve_ohm)
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
