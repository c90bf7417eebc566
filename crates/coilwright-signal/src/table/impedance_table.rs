use super::error::shown;
use super::impedance_columns::{Column, ImpedanceLayout, Kind};
use super::{MOST_POINTS, TableError, TableWarning};
use crate::capture::delimited::is_utf16;
use crate::capture::delimited::lines::{Line, LineEnd, Lines};
use crate::capture::delimited::row::NumberReader;
use crate::capture::delimited::table::Table;
use crate::capture::input::Input;
use crate::capture::{ReadError, Rewindable};
use num_complex::Complex64;
use std::fs::File;
use std::io::{Read, SeekFrom};
use std::path::Path;

/// Bytes that tell the encoding.
const HEAD_BYTES: usize = 2;

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
/// The columns may be |Z| and phase, R and X, L and Q, or L and R, in any order among others; units stand behind the names.
///
/// # Errors
/// When the file cannot be read, its columns are not named, or a row is broken; each message says where.
pub fn read_impedance_table(
    path: impl AsRef<Path>,
    options: &ImpedanceReadOptions,
) -> Result<ImpedanceTable, TableError> {
    let path = path.as_ref();
    let name = path.display().to_string();
    let file = File::open(path).map_err(|source| ReadError::Io {
        path: name.clone(),
        source,
    })?;
    read_impedance_table_from(Box::new(file), &name, options)
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
    mut reader: Box<dyn Rewindable>,
    name: &str,
    options: &ImpedanceReadOptions,
) -> Result<ImpedanceTable, TableError> {
    let refused = |source| ReadError::Io {
        path: name.to_owned(),
        source,
    };
    let mut head = Vec::new();
    (&mut reader)
        .take(HEAD_BYTES as u64)
        .read_to_end(&mut head)
        .map_err(refused)?;
    if head.is_empty() {
        return Err(TableError::Empty {
            path: name.to_owned(),
        });
    }
    if is_utf16(&head) {
        return Err(ReadError::TextEncoding {
            path: name.to_owned(),
        }
        .into());
    }
    reader.rewind().map_err(refused)?;
    let table = Table::find(&mut Lines::new(Input::new(&mut reader, name), 0), false)?;
    let columns = Columns::of(&table, name, *options)?;
    reader.rewind().map_err(refused)?;
    columns.check_before(&table, Lines::new(Input::new(&mut reader, name), 0), name)?;
    reader
        .seek(SeekFrom::Start(table.first_offset))
        .map_err(refused)?;
    let lines = Lines::new(Input::new(reader, name), table.first_line - 1);
    columns.read(&table, lines, name)
}

/// Where the three numbers stand.
struct Columns {
    layout: ImpedanceLayout,
    places: [(usize, Column); 3],
}

impl Columns {
    fn of(table: &Table, name: &str, options: ImpedanceReadOptions) -> Result<Self, TableError> {
        let over = |column| table.heading.over(table.delimiter, column);
        let named: Vec<Option<Column>> = (0..table.columns)
            .map(|column| Column::over(over(column)))
            .collect();
        let place = |kind: Kind| {
            named
                .iter()
                .enumerate()
                .find_map(|(n, c)| c.filter(|c| c.kind == kind).map(|c| (n, c)))
        };
        let found = ImpedanceLayout::ALL.into_iter().find_map(|layout| {
            let (first, second) = layout.pair();
            Some(Self {
                layout,
                places: [place(Kind::Frequency)?, place(first)?, place(second)?],
            })
        });
        let stated = || {
            let layout = options.layout.filter(|_| table.columns >= 3)?;
            let (first, second) = layout.pair();
            let plain = |n, kind| (n, Column::plain(kind));
            Some(Self {
                layout,
                places: [plain(0, Kind::Frequency), plain(1, first), plain(2, second)],
            })
        };
        found.or_else(stated).ok_or_else(|| {
            let names: Vec<String> = (0..table.columns.min(8))
                .filter_map(|column| over(column).next())
                .collect();
            TableError::ColumnsUnnamed {
                path: name.to_owned(),
                line: table.first_line,
                found: shown(&names.join(", ")),
            }
        })
    }

    /// Refuses a row between the names and the first row: it has more or fewer fields than the rest, and would be lost.
    fn check_before<R: Read>(
        &self,
        table: &Table,
        mut lines: Lines<R>,
        name: &str,
    ) -> Result<(), TableError> {
        let (place, _) = self.places[0];
        let mut broken = None;
        while let Some(line) = lines.next()? {
            if line.number >= table.first_line {
                break;
            }
            let mut fields = table.delimiter.fields(line.bytes);
            let Some(field) = fields.nth(place) else {
                continue;
            };
            if Column::of(&String::from_utf8_lossy(field)).is_some() {
                broken = None;
            } else if NumberReader::default().number(field).is_some() {
                let found = shown(&String::from_utf8_lossy(line.bytes));
                broken = Some((line.number, found));
            }
        }
        match broken {
            Some((line, found)) => Err(TableError::RowBroken {
                path: name.to_owned(),
                line,
                found,
                columns: table.columns,
            }),
            None => Ok(()),
        }
    }

    fn read<R: Read>(
        &self,
        table: &Table,
        mut lines: Lines<R>,
        name: &str,
    ) -> Result<ImpedanceTable, TableError> {
        let mut result = ImpedanceTable {
            name: name.to_owned(),
            layout: self.layout,
            frequencies_hz: Vec::new(),
            impedances_ohm: Vec::new(),
            warnings: Vec::new(),
        };
        let mut numbers = [NumberReader::default(); 3];
        let mut last = 0;
        let mut falls = None;
        while let Some(line) = lines.next()? {
            last = line.number;
            if line.bytes.trim_ascii().is_empty() {
                continue;
            }
            if line.end == LineEnd::Text {
                result
                    .warnings
                    .push(TableWarning::PartialLine { line: line.number });
                break;
            }
            let (frequency_hz, impedance) = self.row(table, &mut numbers, &line, name)?;
            if let Some(&before_hz) = result.frequencies_hz.last() {
                let falling = frequency_hz < before_hz;
                let stands = frequency_hz.total_cmp(&before_hz).is_eq();
                if stands || *falls.get_or_insert(falling) != falling {
                    return Err(TableError::FrequencyOrder {
                        path: name.to_owned(),
                        line: line.number,
                        found_hz: frequency_hz,
                        before_hz,
                    });
                }
            }
            if result.frequencies_hz.len() >= MOST_POINTS {
                return Err(TableError::TooLong {
                    path: name.to_owned(),
                    line: line.number,
                    limit: MOST_POINTS,
                });
            }
            result.frequencies_hz.push(frequency_hz);
            result.impedances_ohm.push(impedance);
        }
        if result.frequencies_hz.is_empty() {
            return Err(TableError::NoPoints {
                path: name.to_owned(),
                lines: last,
            });
        }
        if falls == Some(true) {
            result.frequencies_hz.reverse();
            result.impedances_ohm.reverse();
            result.warnings.push(TableWarning::Reversed);
        }
        Ok(result)
    }

    /// Frequency and impedance of one row.
    fn row(
        &self,
        table: &Table,
        numbers: &mut [NumberReader; 3],
        line: &Line<'_>,
        name: &str,
    ) -> Result<(f64, Complex64), TableError> {
        let broken = || TableError::RowBroken {
            path: name.to_owned(),
            line: line.number,
            found: shown(&String::from_utf8_lossy(line.bytes)),
            columns: table.columns,
        };
        let mut values = [0.0; 3];
        for ((value, reader), (place, column)) in values.iter_mut().zip(numbers).zip(&self.places) {
            let mut fields = table.delimiter.fields(line.bytes);
            let number = fields.nth(*place).and_then(|field| reader.number(field));
            *value = number.ok_or_else(broken)? * column.factor;
        }
        if line.end != LineEnd::Feed || table.delimiter.fields(line.bytes).count() != table.columns
        {
            return Err(broken());
        }
        let invalid = |found: f64, expected| TableError::ValueInvalid {
            path: name.to_owned(),
            line: line.number,
            found,
            expected,
        };
        let [frequency_hz, first, second] = values;
        if !(frequency_hz.is_finite() && frequency_hz > 0.0) {
            return Err(invalid(frequency_hz, "a finite frequency above 0 Hz"));
        }
        let impedance = self.layout.impedance(frequency_hz, first, second);
        if !impedance.is_finite() {
            let found = if second.is_finite() && second != 0.0 {
                first
            } else {
                second
            };
            return Err(invalid(found, "numbers of a finite impedance"));
        }
        Ok((frequency_hz, impedance))
    }
}
