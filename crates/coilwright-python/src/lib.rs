//! Python bindings of Coilwright: the extension module `coilwright._core`.
//!
//! Only converts, calls and converts back; results cross as their JSON form and become frozen objects in
//! `python/coilwright/_result.py`. Samples cross as NumPy arrays.

mod arrays;
mod capture;
mod check;
mod coil;
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
    use super::coil::condition::coil_judge;
    #[pymodule_export]
    use super::coil::formula::coil_formula;
    #[pymodule_export]
    use super::coil::frequency::{
        coil_fit_impedance, coil_fit_response, coil_fit_series_ring, coil_fit_sweep,
        coil_impedance_parts,
    };
    #[pymodule_export]
    use super::coil::injection::{
        coil_fit_injection, coil_highest_playable_hz, coil_make_stimulus,
    };
    #[pymodule_export]
    use super::coil::model::coil_model;
    #[pymodule_export]
    use super::coil::network::{
        coil_fit_circle, coil_fit_coupled, coil_fit_reflection, coil_reflection_to_impedance,
    };
    #[pymodule_export]
    use super::coil::plan::{coil_design, coil_pickup};
    #[pymodule_export]
    use super::coil::ring_down::{
        coil_damped_exponential_variance, coil_fit_ring_down, coil_mode_bounds,
    };
    #[pymodule_export]
    use super::coil::tables::{
        coil_read_impedance_table, coil_read_sweep_table, coil_read_touchstone,
    };
    #[pymodule_export]
    use super::coil::tolerance::{coil_awg_diameters, coil_spread};
    #[pymodule_export]
    use super::command::run_command;
    #[pymodule_export]
    use super::decode::decode_json;
    #[pymodule_export]
    use super::error::{CheckError, CoilwrightError, FitError, ModelError, ReadError};

    use super::{Bound, PyModule, PyModuleMethods, PyResult};

    #[pymodule_init]
    fn init(module: &Bound<'_, PyModule>) -> PyResult<()> {
        module.add("__version__", env!("CARGO_PKG_VERSION"))
    }
}
