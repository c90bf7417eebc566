use super::impedance_columns::Kind;
use super::rows::{self, Named, Places};
use super::{TableError, TableWarning};
use crate::capture::Rewindable;
use std::cell::Cell;
use std::path::Path;

/// Amplitudes over frequency.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepTable {
    /// The file as the user named it.
    pub name: String,
    /// Rising frequencies, hertz.
    pub frequencies_hz: Vec<f64>,
    /// One linear amplitude for each: volts or amperes where the heading says so, over the reference where it was in decibels.
    pub amplitudes: Vec<f64>,
    /// What was doubtful.
    pub warnings: Vec<TableWarning>,
}

/// Returns an amplitude sweep: delimited text with named columns, a frequency and an amplitude among them.
///
/// An amplitude is called so, or voltage, V, Vpp, RMS, current, level, gain or magnitude; in V, A with m or u before them, or in decibels of any
/// reference (20 log10). Where there are several the first counts.
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
/// let text = b"Freq (kHz),Level (dBV),Remark\n124,-20,1\n125,0,2\n";
/// let table = read_sweep_table_from(Box::new(Cursor::new(text)), "sweep.csv")?;
/// assert_eq!(table.frequencies_hz, [124e3, 125e3]);
/// assert_eq!(table.amplitudes, [0.1, 1.0]);
/// # Ok::<(), coilwright_signal::table::TableError>(())
/// ```
pub fn read_sweep_table_from(
    reader: Box<dyn Rewindable>,
    name: &str,
) -> Result<SweepTable, TableError> {
    let (decibels, phase) = (Cell::new(false), Cell::new(false));
    let marked = |named: &Named| {
        let places = choose(named, name)?;
        decibels.set(places[1].1.kind == Kind::Decibels);
        phase.set(named.place(Kind::Phase).is_some());
        Ok(places)
    };
    let rows = rows::read(reader, name, marked, |[_, value]: [f64; 2]| {
        let amplitude = if decibels.get() {
            10.0_f64.powf(value / 20.0)
        } else {
            value
        };
        if amplitude.is_finite() && amplitude >= 0.0 {
            Ok(amplitude)
        } else {
            Err((value, "an amplitude of 0 or more"))
        }
    })?;
    let mut warnings = rows.warnings;
    if phase.get() {
        warnings.push(TableWarning::PhaseLeftOut);
    }
    Ok(SweepTable {
        name: name.to_owned(),
        frequencies_hz: rows.frequencies_hz,
        amplitudes: rows.values,
        warnings,
    })
}

fn choose(named: &Named, name: &str) -> Result<Places<2>, TableError> {
    let amplitude = || {
        let linear = named.place(Kind::Amplitude);
        let decibels = named.place(Kind::Decibels);
        match (linear, decibels) {
            (Some(one), Some(other)) => Some(if one.0 < other.0 { one } else { other }),
            (one, other) => one.or(other),
        }
    };
    let places = named.place(Kind::Frequency).zip(amplitude());
    places
        .map(|(frequency, amplitude)| [frequency, amplitude])
        .ok_or_else(|| TableError::AmplitudeUnnamed {
            path: name.to_owned(),
            line: named.first_line,
            found: named.words(),
        })
}
