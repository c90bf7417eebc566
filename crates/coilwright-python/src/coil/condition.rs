use coilwright_coil::condition::{CoilEvidence, Standard, judge_coil};
use pyo3::prelude::*;
use serde::Deserialize;

use super::convert::{from_text, to_text};
use crate::error::from_fit;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    evidence: CoilEvidence,
    standard: Standard,
    turns: Option<f64>,
}

/// Returns the JSON form of the verdict on a coil.
#[pyfunction]
pub(crate) fn coil_judge(py: Python<'_>, case: &str) -> PyResult<String> {
    let case: Case = from_text(case)?;
    let verdict = py
        .detach(|| judge_coil(&case.evidence, &case.standard, case.turns))
        .map_err(|error| from_fit(py, &error))?;
    to_text(&verdict)
}
