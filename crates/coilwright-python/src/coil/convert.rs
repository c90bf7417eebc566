use coilwright_coil::FitError;
use num_complex::Complex64;
use numpy::{Element, PyArray1, PyArrayMethods, PyReadonlyArray1};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use crate::error::from_fit;

/// Real numbers, contiguous.
pub(crate) type Reals<'py> = PyReadonlyArray1<'py, f64>;
/// Complex numbers, contiguous.
pub(crate) type Complexes<'py> = PyReadonlyArray1<'py, Complex64>;
/// A result's JSON form without its curve, and the curve.
pub(crate) type WithCurve<'py, T> = (String, Bound<'py, PyArray1<T>>);

/// A copy that outlives the interpreter's lock.
pub(crate) fn copied<T: Element + Copy>(array: &PyReadonlyArray1<'_, T>) -> PyResult<Vec<T>> {
    Ok(array.to_vec()?)
}

/// Settings or a question from their JSON form.
pub(crate) fn from_text<T: DeserializeOwned>(text: &str) -> PyResult<T> {
    // By way of a value, whose errors name no place in a text that the user never saw.
    serde_json::from_str::<Value>(text)
        .and_then(serde_json::from_value)
        .map_err(|error| PyValueError::new_err(error.to_string()))
}

/// The JSON form of a result; numbers that are not finite become null.
pub(crate) fn to_text(result: &impl Serialize) -> PyResult<String> {
    serde_json::to_string(result).map_err(|error| PyValueError::new_err(error.to_string()))
}

/// The JSON form of what `fit` gives without the interpreter's lock, and the curve that is taken out of it.
pub(crate) fn fitted<'py, F: Serialize + Send, T: Element>(
    py: Python<'py>,
    fit: impl FnOnce() -> Result<F, FitError> + Send,
    curve: impl FnOnce(&mut F) -> &mut Vec<T>,
) -> PyResult<WithCurve<'py, T>> {
    let mut fit = py.detach(fit).map_err(|error| from_fit(py, &error))?;
    let curve = std::mem::take(curve(&mut fit));
    with_curve(py, &fit, curve)
}

/// The JSON form of a result and the curve that was taken out of it.
pub(crate) fn with_curve<'py, T: Element>(
    py: Python<'py>,
    result: &impl Serialize,
    curve: Vec<T>,
) -> PyResult<WithCurve<'py, T>> {
    Ok((to_text(result)?, PyArray1::from_vec(py, curve)))
}
