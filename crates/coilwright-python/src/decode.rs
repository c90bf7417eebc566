use coilwright_diagnose::{CheckOptions, Measurement, Passage};
use coilwright_signal::view::{BestStretch, Heard, Views};
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::arrays::{key_arrays, view_arrays};
use crate::check::{CaptureOrPath, parse_kind};
use crate::error::from_check;
use crate::stretch::StretchRead;

/// The JSON form of a check, and for every stretch its JSON form, the arrays of its keys and its views.
type Decoded<'py> = (
    String,
    Vec<(String, Vec<Bound<'py, PyDict>>, Option<Bound<'py, PyDict>>)>,
);

/// Which stretches get views.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shown {
    None,
    Best,
    All,
}

/// A stretch with its views, where it has any.
struct Kept {
    read: StretchRead,
    views: Option<Views>,
}

/// Returns the JSON form of the check of a capture, and for each stretch that was listened to its JSON form, the bits
/// and soft bits of its keys, and its views.
#[pyfunction]
pub(crate) fn decode_json<'py>(
    py: Python<'py>,
    capture: CaptureOrPath<'_>,
    nominal_hz: Option<f64>,
    signal_kind: Option<&str>,
    views: &str,
) -> PyResult<Decoded<'py>> {
    let options = CheckOptions {
        nominal_hz,
        signal_kind: signal_kind.map(parse_kind).transpose()?,
        ..CheckOptions::default()
    };
    let shown = parse_shown(views)?;
    let mut source = capture.into_input()?.source()?;
    let (check, stretches) = py.detach(|| {
        let mut collected = Collected::new(shown);
        let measurement =
            Measurement::take_observed(&mut *source, &options, &mut |_| {}, &mut |passage| {
                collected.hear(&passage);
            })
            .map_err(|error| from_check(&error))?;
        PyResult::Ok((measurement.conclude(None), collected.finish()))
    })?;
    let refused = |error: serde_json::Error| PyValueError::new_err(error.to_string());
    let text = serde_json::to_string(&check).map_err(refused)?;
    let stretches = stretches
        .into_iter()
        .map(|kept| {
            let text = serde_json::to_string(&kept.read).map_err(refused)?;
            let keys = kept.read.keys.into_iter();
            let keys: PyResult<Vec<_>> = keys.map(|key| key_arrays(py, key)).collect();
            let views = kept.views.map(|views| view_arrays(py, views)).transpose()?;
            Ok((text, keys?, views))
        })
        .collect::<PyResult<Vec<_>>>()?;
    Ok((text, stretches))
}

fn parse_shown(views: &str) -> PyResult<Shown> {
    match views {
        "none" => Ok(Shown::None),
        "best" => Ok(Shown::Best),
        "all" => Ok(Shown::All),
        other => Err(PyValueError::new_err(format!(
            "views {other:?}: expected 'best', 'all' or 'none'"
        ))),
    }
}

/// The stretches so far.
struct Collected {
    shown: Shown,
    stretches: Vec<Kept>,
    best: BestStretch,
    /// Which stretch the best one is.
    best_index: usize,
}

impl Collected {
    fn new(shown: Shown) -> Self {
        Self {
            shown,
            stretches: Vec::new(),
            best: BestStretch::default(),
            best_index: 0,
        }
    }

    fn hear(&mut self, passage: &Passage<'_>) {
        match passage {
            Passage::Restart => *self = Self::new(self.shown),
            Passage::Heard(heard) => self.add(heard),
            _ => {}
        }
    }

    fn add(&mut self, heard: &Heard<'_>) {
        if self.shown == Shown::Best && self.best.hear(heard) {
            self.best_index = self.stretches.len();
        }
        self.stretches.push(Kept {
            read: StretchRead::of(heard.listening),
            views: (self.shown == Shown::All).then(|| heard.views()),
        });
    }

    fn finish(mut self) -> Vec<Kept> {
        if let Some((_, views)) = self.best.get()
            && let Some(stretch) = self.stretches.get_mut(self.best_index)
        {
            stretch.views = Some(views.clone());
        }
        self.stretches
    }
}
