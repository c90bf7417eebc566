//! Python bindings of Coilwright: the extension module `coilwright._core`.
//!
//! Only converts, calls and converts back; results cross as their JSON form and become frozen objects in
//! `python/coilwright/_result.py`. Samples cross as NumPy arrays.

mod arrays;
mod capture;
mod check;
mod command;
mod decode;
mod error;
mod samples;
mod stretch;

use pyo3::prelude::*;

/// The compiled core of `coilwright`.
#[pymodule]
mod _core {
    #[pymodule_export]
    use super::capture::{PyCapture, read};
    #[pymodule_export]
    use super::check::check_json;
    #[pymodule_export]
    use super::command::run_command;
    #[pymodule_export]
    use super::decode::decode_json;
    #[pymodule_export]
    use super::error::{CheckError, CoilwrightError, ReadError};

    use super::{Bound, PyModule, PyModuleMethods, PyResult};

    #[pymodule_init]
    fn init(module: &Bound<'_, PyModule>) -> PyResult<()> {
        module.add("__version__", env!("CARGO_PKG_VERSION"))
    }
}
