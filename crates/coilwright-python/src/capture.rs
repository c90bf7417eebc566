use std::path::PathBuf;

use coilwright_signal::capture::{self, Capture, CaptureInfo, ReadOptions, Unit};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::PyTuple;

use crate::error::from_read;
use crate::samples::Samples;

/// A recording: its samples, their rate, and where they came from. Cannot be changed.
#[pyclass(name = "Capture", module = "coilwright", frozen)]
pub(crate) struct PyCapture {
    info: CaptureInfo,
    samples: Samples,
    warnings: Vec<String>,
}

impl PyCapture {
    /// The capture as the library holds it, with a copy of the samples.
    pub(crate) fn to_model(&self, py: Python<'_>) -> PyResult<Capture> {
        Ok(Capture {
            info: self.info.clone(),
            samples: self.samples.interleaved(py)?,
        })
    }
}

/// Reads a whole capture into memory.
///
/// The format is decided by content: WAV, delimited text, NPY, SigMF, or raw samples where `raw_type` says so. Raises
/// `ReadError` when the file cannot be read.
#[pyfunction]
#[pyo3(signature = (path, *, channel=None, sample_rate_hz=None, raw_type=None))]
pub(crate) fn read(
    py: Python<'_>,
    path: PathBuf,
    channel: Option<usize>,
    sample_rate_hz: Option<f64>,
    raw_type: Option<&str>,
) -> PyResult<PyCapture> {
    let raw_type = raw_type
        .map(str::parse)
        .transpose()
        .map_err(|error| from_read(&error))?;
    let options = ReadOptions {
        channel,
        sample_rate_hz,
        raw_type,
        ..ReadOptions::default()
    };
    let (capture, warnings) = py
        .detach(|| capture::read(path, &options))
        .map_err(|error| from_read(&error))?;
    let warnings = warnings.iter().map(ToString::to_string).collect();
    Ok(PyCapture {
        samples: Samples::owned(py, capture.samples, capture.info.kind)?,
        info: capture.info,
        warnings,
    })
}

#[pymethods]
impl PyCapture {
    #[new]
    #[pyo3(signature = (samples, sample_rate_hz, *, name="array"))]
    fn new(
        py: Python<'_>,
        samples: &Bound<'_, PyAny>,
        sample_rate_hz: f64,
        name: &str,
    ) -> PyResult<Self> {
        if !(sample_rate_hz.is_finite() && sample_rate_hz > 0.0) {
            return Err(PyValueError::new_err(format!(
                "sample_rate_hz {sample_rate_hz}: expected a finite number above 0, in samples per second"
            )));
        }
        let samples = Samples::copied(samples)?;
        let mut info = Capture::from_parts(Vec::new(), sample_rate_hz, samples.kind()).info;
        info.length = Some(samples.len(py) as u64);
        name.clone_into(&mut info.source.name);
        Ok(Self {
            info,
            samples,
            warnings: Vec::new(),
        })
    }

    /// The samples, read-only: float32 of shape (n,), or complex64 of shape (n,).
    #[getter]
    fn samples<'py>(&self, py: Python<'py>) -> Bound<'py, PyAny> {
        match &self.samples {
            Samples::Real(array) => array.bind(py).as_any().clone(),
            Samples::Complex(array) => array.bind(py).as_any().clone(),
        }
    }

    /// Samples per second.
    #[getter]
    const fn sample_rate_hz(&self) -> f64 {
        self.info.sample_rate_hz
    }

    /// Length in seconds.
    #[getter]
    fn duration_s(&self, py: Python<'_>) -> f64 {
        self.__len__(py) as f64 / self.info.sample_rate_hz
    }

    /// Unit of the samples: ``full_scale``, ``volt`` or ``unknown``.
    #[getter]
    const fn unit(&self) -> &'static str {
        match self.info.unit {
            Unit::FullScale => "full_scale",
            Unit::Volt => "volt",
            Unit::Unknown => "unknown",
        }
    }

    /// The channel that was read, from 0.
    #[getter]
    const fn channel(&self) -> usize {
        self.info.channel
    }

    /// How many channels the source holds.
    #[getter]
    const fn channels(&self) -> usize {
        self.info.channels
    }

    /// When the first sample was taken, as the file states it.
    #[getter]
    fn start_time(&self) -> Option<&str> {
        self.info.start_time.as_deref()
    }

    /// Name of the file, or the name that was given to an array.
    #[getter]
    fn name(&self) -> &str {
        &self.info.source.name
    }

    /// Format of the source in words.
    #[getter]
    fn format(&self) -> &str {
        &self.info.source.format
    }

    /// What the reader repaired or doubted.
    #[getter]
    fn warnings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.warnings)
    }

    fn __len__(&self, py: Python<'_>) -> usize {
        self.samples.len(py)
    }

    fn __repr__(&self, py: Python<'_>) -> String {
        format!(
            "Capture({:?}: {} samples at {} Hz, {})",
            self.info.source.name,
            self.__len__(py),
            self.info.sample_rate_hz,
            self.info.source.format
        )
    }
}
