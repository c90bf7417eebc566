use coilwright_diagnose::result::SignalKind;
use coilwright_diagnose::{CheckOptions, Measurement};
use coilwright_signal::capture::{BlockSource, Capture, ReadOptions, open};
use numpy::PyArray1;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

use crate::capture::PyCapture;
use crate::error::{from_check, from_read};

/// A capture in memory or the name of a file.
#[derive(FromPyObject)]
pub(crate) enum CaptureOrPath<'py> {
    Capture(Bound<'py, PyCapture>),
    Path(String),
}

/// The same, free of the interpreter.
pub(crate) enum Input {
    Memory(Capture),
    File(String),
}

/// First sample, samples and fitted curve of one edge.
type Trace<'py> = (u64, Bound<'py, PyArray1<f32>>, Bound<'py, PyArray1<f32>>);

/// Returns the JSON form of the check of a capture, held against a known-good one where there is one, and the edge
/// that can be drawn: its first sample, the samples and the fitted curve.
#[pyfunction]
pub(crate) fn check_json<'py>(
    py: Python<'py>,
    capture: CaptureOrPath<'_>,
    against: Option<CaptureOrPath<'_>>,
    nominal_hz: Option<f64>,
    signal_kind: Option<&str>,
) -> PyResult<(String, Option<Trace<'py>>)> {
    let options = CheckOptions {
        nominal_hz,
        signal_kind: signal_kind.map(parse_kind).transpose()?,
        ..CheckOptions::default()
    };
    let capture = capture.into_input()?;
    let against = against.map(CaptureOrPath::into_input).transpose()?;
    let check = py.detach(|| {
        let good = against.map(|input| measure(input, &options)).transpose()?;
        PyResult::Ok(measure(capture, &options)?.conclude(good.as_ref()))
    })?;
    let text =
        serde_json::to_string(&check).map_err(|error| PyValueError::new_err(error.to_string()))?;
    let trace = check.ring.trace.map(|trace| {
        let samples = PyArray1::from_vec(py, trace.samples);
        (
            trace.first_sample,
            samples,
            PyArray1::from_vec(py, trace.fitted),
        )
    });
    Ok((text, trace))
}

impl CaptureOrPath<'_> {
    pub(crate) fn into_input(self) -> PyResult<Input> {
        match self {
            Self::Capture(capture) => capture.get().to_model(capture.py()).map(Input::Memory),
            Self::Path(path) => Ok(Input::File(path)),
        }
    }
}

impl Input {
    /// The capture block by block.
    pub(crate) fn source(self) -> PyResult<Box<dyn BlockSource>> {
        match self {
            Self::Memory(capture) => Ok(Box::new(capture.into_source())),
            Self::File(path) => {
                open(path, &ReadOptions::default()).map_err(|error| from_read(&error))
            }
        }
    }
}

fn measure(input: Input, options: &CheckOptions) -> PyResult<Measurement> {
    Measurement::take(&mut *input.source()?, options, &mut |_| {})
        .map_err(|error| from_check(&error))
}

pub(crate) fn parse_kind(name: &str) -> PyResult<SignalKind> {
    match name {
        "direct" => Ok(SignalKind::Direct),
        "aliased" => Ok(SignalKind::Aliased),
        "envelope" => Ok(SignalKind::Envelope),
        "complex_baseband" => Ok(SignalKind::ComplexBaseband),
        "ring_down" => Ok(SignalKind::RingDown),
        other => Err(PyValueError::new_err(format!(
            "signal_kind {other:?}: expected 'direct', 'aliased', 'envelope', 'complex_baseband' or 'ring_down'"
        ))),
    }
}
