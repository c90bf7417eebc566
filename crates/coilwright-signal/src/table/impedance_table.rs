use super::ImpedanceLayout;
use super::columns::{Column, Kind};
use super::rows::{self, Named, Places};
use super::{TableError, TableWarning};
use crate::capture::Rewindable;
use num_complex::Complex64;
use std::cell::Cell;
use std::path::Path;

/// Settings of the reader.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ImpedanceReadOptions {
    /// What the second and third column are where no heading names them; the first is hertz, the others ohm, degrees, henry.
    pub layout: Option<ImpedanceLayout>,
}

/// Impedances over frequency.
#[derive(Clone, Debug, PartialEq)]
pub struct ImpedanceTable {
    /// The file as the user named it.
    pub name: String,
    /// Which columns were used.
    pub layout: ImpedanceLayout,
    /// Rising frequencies, hertz.
    pub frequencies_hz: Vec<f64>,
    /// One impedance for each, ohm.
    pub impedances_ohm: Vec<Complex64>,
    /// What was doubtful.
    pub warnings: Vec<TableWarning>,
}

/// Returns the impedances of a table as impedance meters export it: delimited text with named columns.
///
/// The columns may be |Z| and phase, R and X, L and Q, D or R (series, or parallel as Lp and Rp), in any order among others; units stand behind the names.
///
/// # Errors
/// When the file cannot be read, its columns are not named, or a row is broken; each message says where.
pub fn read_impedance_table(
    path: impl AsRef<Path>,
    options: &ImpedanceReadOptions,
) -> Result<ImpedanceTable, TableError> {
    let (file, name) = rows::open(path.as_ref())?;
    read_impedance_table_from(file, &name, options)
}

/// The same from anything that can be read and rewound; `name` is for messages.
///
/// # Errors
/// As for [`read_impedance_table`].
///
/// ```
/// use std::io::Cursor;
/// use coilwright_signal::table::{ImpedanceReadOptions, read_impedance_table_from};
/// let text = b"Freq (kHz),Ls (uH),Q\n100,801,41\n125,802,45\n";
/// let table = read_impedance_table_from(Box::new(Cursor::new(text)), "coil.csv", &ImpedanceReadOptions::default())?;
/// assert_eq!(table.frequencies_hz, [100e3, 125e3]);
/// assert!((table.impedances_ohm[1].im - 629.9).abs() < 0.1);
/// # Ok::<(), coilwright_signal::table::TableError>(())
/// ```
pub fn read_impedance_table_from(
    reader: Box<dyn Rewindable>,
    name: &str,
    options: &ImpedanceReadOptions,
) -> Result<ImpedanceTable, TableError> {
    let chosen = Cell::new(ImpedanceLayout::ResistanceReactance);
    let choose = |named: &Named| {
        let (found, places) = choose(named, name, *options)?;
        chosen.set(found);
        Ok(places)
    };
    let mut rows = rows::read(reader, name, choose, |values| {
        impedance(chosen.get(), values)
    })?;
    let gaining = |z: &&Complex64| z.re < 0.0;
    let first = rows.values.iter().position(|z| gaining(&z));
    if let Some(&first_hz) = first.and_then(|n| rows.frequencies_hz.get(n)) {
        rows.warnings.push(TableWarning::NegativeResistance {
            points: rows.values.iter().filter(gaining).count(),
            first_hz,
        });
    }
    Ok(ImpedanceTable {
        name: name.to_owned(),
        layout: chosen.get(),
        frequencies_hz: rows.frequencies_hz,
        impedances_ohm: rows.values,
        warnings: rows.warnings,
    })
}

/// The layout that the names allow, or else the one that was stated.
fn choose(
    named: &Named,
    name: &str,
    options: ImpedanceReadOptions,
) -> Result<(ImpedanceLayout, Places<3>), TableError> {
    let found = ImpedanceLayout::ALL.into_iter().find_map(|layout| {
        let (first, second) = layout.pair();
        let places = [
            named.place(Kind::Frequency)?,
            named.place(first)?,
            named.place(second)?,
        ];
        Some((layout, places))
    });
    let stated = || {
        let layout = options.layout.filter(|_| named.count() >= 3)?;
        let (first, second) = layout.pair();
        let plain = |n, kind| (n, Column::plain(kind));
        let places = [plain(0, Kind::Frequency), plain(1, first), plain(2, second)];
        Some((layout, places))
    };
    found
        .or_else(stated)
        .ok_or_else(|| TableError::ColumnsUnnamed {
            path: name.to_owned(),
            line: named.first_line,
            found: named.words(),
        })
}

fn impedance(
    layout: ImpedanceLayout,
    [frequency_hz, first, second]: [f64; 3],
) -> Result<Complex64, (f64, &'static str)> {
    let impedance = layout.impedance(frequency_hz, first, second);
    if impedance.is_finite() {
        return Ok(impedance);
    }
    let found = if second.is_finite() && second != 0.0 {
        first
    } else {
        second
    };
    Err((found, "numbers of a finite impedance"))
}
