use coilwright_diagnose as diagnose;
use coilwright_signal::capture;
use pyo3::PyErr;
use pyo3::create_exception;
use pyo3::exceptions::PyException;

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
