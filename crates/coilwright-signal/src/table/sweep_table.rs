use super::columns::Kind;
use super::rows::{self, Named, Places};
use super::{TableError, TableWarning};
use crate::capture::Rewindable;
use num_complex::Complex64;
use std::cell::Cell;
use std::path::Path;

/// Amplitudes over frequency, with their phases where the file has them.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepTable {
    /// The file as the user named it.
    pub name: String,
    /// Rising frequencies, hertz.
    pub frequencies_hz: Vec<f64>,
    /// One linear amplitude for each: volts or amperes where the heading says so, over the reference where it was in decibels.
    pub amplitudes: Vec<f64>,
    /// The same with their phases, where the file has phases or real and imaginary parts.
    pub response: Option<Vec<Complex64>>,
    /// What was doubtful.
    pub warnings: Vec<TableWarning>,
}

/// Returns a sweep: delimited text with named columns, a frequency and an amplitude among them, or a real and an imaginary part.
///
/// An amplitude is called so, or voltage, V, Vpp, RMS, current, level, gain or magnitude; in V, A with m or u before them, or in decibels of any
/// reference (20 log10). Where there are several the first counts. A phase beside it, in degrees unless its heading says radians, makes it a
/// complex response, as do `Re` and `Im`.
///
/// # Errors
/// When the file cannot be read, its columns are not named, or a row is broken; each message says where.
pub fn read_sweep_table(path: impl AsRef<Path>) -> Result<SweepTable, TableError> {
    let (file, name) = rows::open(path.as_ref())?;
    read_sweep_table_from(file, &name)
}

/// The same from anything that can be read and rewound; `name` is for messages.
///
/// # Errors
/// As for [`read_sweep_table`].
///
/// ```
/// use std::io::Cursor;
/// use coilwright_signal::table::read_sweep_table_from;
/// let text = b"Freq (kHz),Level (dBV),Phase (deg)\n124,-20,0\n125,0,180\n";
/// let table = read_sweep_table_from(Box::new(Cursor::new(text)), "sweep.csv")?;
/// assert_eq!(table.frequencies_hz, [124e3, 125e3]);
/// assert_eq!(table.amplitudes, [0.1, 1.0]);
/// assert!((table.response.unwrap()[1].re + 1.0).abs() < 1e-12);
/// # Ok::<(), coilwright_signal::table::TableError>(())
/// ```
pub fn read_sweep_table_from(
    reader: Box<dyn Rewindable>,
    name: &str,
) -> Result<SweepTable, TableError> {
    let layout = Cell::new(Layout::Amplitude { decibels: false });
    let marked = |named: &Named| {
        let (found, places) = choose(named, name)?;
        layout.set(found);
        Ok(places)
    };
    let rows = rows::read(reader, name, marked, |[_, first, second]: [f64; 3]| {
        layout.get().value(first, second)
    })?;
    let has_phases = !matches!(layout.get(), Layout::Amplitude { .. });
    let amplitudes = rows.values.iter().map(|value| value.norm()).collect();
    Ok(SweepTable {
        name: name.to_owned(),
        frequencies_hz: rows.frequencies_hz,
        amplitudes,
        response: has_phases.then_some(rows.values),
        warnings: rows.warnings,
    })
}

/// What the columns make.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Layout {
    Amplitude { decibels: bool },
    AmplitudeAndPhase { decibels: bool },
    RealAndImaginary,
}

impl Layout {
    /// The value of a row, or the number in it that is wrong and what it should be.
    fn value(self, first: f64, second: f64) -> Result<Complex64, (f64, &'static str)> {
        let (decibels, phase) = match self {
            Self::Amplitude { decibels } => (decibels, 0.0),
            Self::AmplitudeAndPhase { decibels } => (decibels, second),
            Self::RealAndImaginary => {
                let value = Complex64::new(first, second);
                let found = if first.is_finite() { second } else { first };
                return finite(value, found);
            }
        };
        let amplitude = if decibels {
            10.0_f64.powf(first / 20.0)
        } else {
            first
        };
        if amplitude.is_finite() && amplitude >= 0.0 {
            finite(Complex64::from_polar(amplitude, phase), second)
        } else {
            Err((first, "an amplitude of 0 or more"))
        }
    }
}

fn finite(value: Complex64, found: f64) -> Result<Complex64, (f64, &'static str)> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err((found, "numbers of a finite response"))
    }
}

/// The columns of the layout that the names allow; where a layout has two, the second stands twice.
fn choose(named: &Named, name: &str) -> Result<(Layout, Places<3>), TableError> {
    let unnamed = || TableError::AmplitudeUnnamed {
        path: name.to_owned(),
        line: named.first_line,
        found: named.words(),
    };
    let frequency = named.place(Kind::Frequency).ok_or_else(unnamed)?;
    let parts = named.place(Kind::Real).zip(named.place(Kind::Imaginary));
    if let Some((real, imaginary)) = parts {
        return Ok((Layout::RealAndImaginary, [frequency, real, imaginary]));
    }
    let linear = named.place(Kind::Amplitude);
    let amplitude = match (linear, named.place(Kind::Decibels)) {
        (Some(one), Some(other)) => Some(if one.0 < other.0 { one } else { other }),
        (one, other) => one.or(other),
    };
    let amplitude = amplitude.ok_or_else(unnamed)?;
    let decibels = amplitude.1.kind == Kind::Decibels;
    Ok(match named.place(Kind::Phase) {
        Some(phase) => (
            Layout::AmplitudeAndPhase { decibels },
            [frequency, amplitude, phase],
        ),
        None => (
            Layout::Amplitude { decibels },
            [frequency, amplitude, amplitude],
        ),
    })
}
