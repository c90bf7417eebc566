use coilwright_coil as coil;
use coilwright_diagnose as diagnose;
use coilwright_signal::{capture, table};
use pyo3::create_exception;
use pyo3::exceptions::PyException;
use pyo3::prelude::*;
use serde::Serialize;

create_exception!(
    coilwright,
    CoilwrightError,
    PyException,
    "Base of all errors of Coilwright."
);
create_exception!(
    coilwright,
    ReadError,
    CoilwrightError,
    "A capture cannot be read."
);
create_exception!(
    coilwright,
    CheckError,
    CoilwrightError,
    "A check cannot be made."
);

create_exception!(
    coilwright,
    FitError,
    CoilwrightError,
    "A coil or ring cannot be fitted or judged; `reason` names why, `details` holds the numbers."
);
create_exception!(
    coilwright,
    ModelError,
    CoilwrightError,
    "A model does not hold for a coil; `reason` names why, `details` holds the numbers."
);

/// The Python exception of a reader's error.
pub(crate) fn from_read(error: &capture::ReadError) -> PyErr {
    ReadError::new_err(error.to_string())
}

/// The Python exception of a check's error; a reader's error inside it stays a `ReadError`.
pub(crate) fn from_check(error: &diagnose::CheckError) -> PyErr {
    match error {
        diagnose::CheckError::Read(error) => from_read(error),
        other => CheckError::new_err(other.to_string()),
    }
}

/// The Python exception of a table reader's error.
pub(crate) fn from_table(error: &table::TableError) -> PyErr {
    ReadError::new_err(error.to_string())
}

/// The Python exception of a fit's error, with its reason and numbers.
pub(crate) fn from_fit(py: Python<'_>, error: &coil::FitError) -> PyErr {
    detailed(py, FitError::new_err(error.to_string()), error)
}

/// The Python exception of a model's error, with its reason and numbers.
pub(crate) fn from_model(py: Python<'_>, error: &coil::ModelError) -> PyErr {
    detailed(py, ModelError::new_err(error.to_string()), error)
}

/// Sets `reason` and `details` from the error's JSON form.
fn detailed(py: Python<'_>, exception: PyErr, error: &impl Serialize) -> PyErr {
    let set = || -> PyResult<()> {
        let text = serde_json::to_string(error).unwrap_or_else(|_| "{}".to_owned());
        let details = py.import("json")?.call_method1("loads", (text,))?;
        let value = exception.value(py);
        value.setattr("reason", details.call_method1("get", ("reason",))?)?;
        value.setattr("details", details)
    };
    match set() {
        Ok(()) => exception,
        Err(other) => other,
    }
}
