use coilwright_signal::capture::SampleKind;
use num_complex::Complex32;
use numpy::{Element, PyArray1, PyArrayMethods, PyUntypedArrayMethods};
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;

/// Samples as a read-only NumPy array, which Python shares without a copy.
pub(crate) enum Samples {
    Real(Py<PyArray1<f32>>),
    Complex(Py<PyArray1<Complex32>>),
}

impl Samples {
    /// A copy of anything that NumPy takes for a one-dimensional array of numbers.
    pub(crate) fn copied(samples: &Bound<'_, PyAny>) -> PyResult<Self> {
        let numpy = samples.py().import("numpy")?;
        let array = numpy.call_method1("asarray", (samples,))?;
        let dimensions: usize = array.getattr("ndim")?.extract()?;
        if dimensions != 1 {
            return Err(PyValueError::new_err(format!(
                "samples have {dimensions} dimensions, expected 1; choose a channel, such as samples[:, 0]"
            )));
        }
        let kind: char = array.getattr("dtype")?.getattr("kind")?.extract()?;
        match kind {
            'f' | 'i' | 'u' => {
                let copy = numpy.call_method1("array", (array, "float32"))?;
                Ok(Self::Real(read_only(copy.cast_into()?)?))
            }
            'c' => {
                let copy = numpy.call_method1("array", (array, "complex64"))?;
                Ok(Self::Complex(read_only(copy.cast_into()?)?))
            }
            other => Err(PyTypeError::new_err(format!(
                "samples have elements of kind {other:?}, expected real or complex numbers"
            ))),
        }
    }

    /// Samples that are handed over: one `f32` each, or I, Q pairs.
    pub(crate) fn owned(py: Python<'_>, values: Vec<f32>, kind: SampleKind) -> PyResult<Self> {
        match kind {
            SampleKind::Real => Ok(Self::Real(read_only(PyArray1::from_vec(py, values))?)),
            SampleKind::Complex => {
                let (pairs, _) = values.as_chunks::<2>();
                let pairs: Vec<Complex32> =
                    pairs.iter().map(|&[i, q]| Complex32::new(i, q)).collect();
                Ok(Self::Complex(read_only(PyArray1::from_vec(py, pairs))?))
            }
        }
    }

    /// A copy of the samples as the library holds them: one `f32` each, or I, Q pairs.
    pub(crate) fn interleaved(&self, py: Python<'_>) -> PyResult<Vec<f32>> {
        Ok(match self {
            Self::Real(array) => array.bind(py).to_vec()?,
            Self::Complex(array) => {
                let pairs = array.bind(py).try_readonly()?;
                pairs
                    .as_slice()?
                    .iter()
                    .flat_map(|pair| [pair.re, pair.im])
                    .collect()
            }
        })
    }

    /// Real or complex.
    pub(crate) const fn kind(&self) -> SampleKind {
        match self {
            Self::Real(_) => SampleKind::Real,
            Self::Complex(_) => SampleKind::Complex,
        }
    }

    /// How many samples there are.
    pub(crate) fn len(&self, py: Python<'_>) -> usize {
        match self {
            Self::Real(array) => array.bind(py).len(),
            Self::Complex(array) => array.bind(py).len(),
        }
    }
}

fn read_only<T: Element>(array: Bound<'_, PyArray1<T>>) -> PyResult<Py<PyArray1<T>>> {
    array.call_method1("setflags", (false,))?;
    Ok(array.unbind())
}
