//! Rows of a delimited table over frequency, whatever its other columns make.

use super::columns::{Column, Kind, ambiguous_unit};
use super::error::shown;
use super::{MOST_POINTS, TableError, TableWarning};
use crate::capture::delimited::is_utf16;
use crate::capture::delimited::lines::{Line, LineEnd, Lines};
use crate::capture::delimited::row::NumberReader;
use crate::capture::delimited::table::Table;
use crate::capture::input::Input;
use crate::capture::{ReadError, Rewindable};
use std::fs::File;
use std::io::{Read, SeekFrom};
use std::path::Path;

/// Bytes that tell the encoding.
const HEAD_BYTES: usize = 2;

/// Columns that are used and where they stand; the first is the frequency.
pub(super) type Places<const N: usize> = [(usize, Column); N];

/// Points over rising frequency.
pub(super) struct Rows<V> {
    pub(super) frequencies_hz: Vec<f64>,
    pub(super) values: Vec<V>,
    pub(super) warnings: Vec<TableWarning>,
}

/// What the columns over a table are called.
pub(super) struct Named {
    columns: Vec<Option<Column>>,
    words: Vec<String>,
    /// A unit whose case leaves it open.
    pub(super) ambiguous: Option<String>,
    pub(super) first_line: u64,
}

impl Named {
    pub(super) fn of(table: &Table) -> Self {
        let over = |column| table.heading.over(table.delimiter, column);
        Self {
            columns: (0..table.columns)
                .map(|column| Column::over(over(column)))
                .collect(),
            words: (0..table.columns.min(8))
                .filter_map(|column| over(column).next())
                .collect(),
            ambiguous: (0..table.columns)
                .find_map(|column| over(column).find_map(|words| ambiguous_unit(&words))),
            first_line: table.first_line,
        }
    }

    /// Number of columns.
    pub(super) fn count(&self) -> usize {
        self.columns.len()
    }

    /// The first column of a kind.
    pub(super) fn place(&self, kind: Kind) -> Option<(usize, Column)> {
        let mut columns = self.columns.iter().enumerate();
        columns.find_map(|(n, c)| c.filter(|c| c.kind == kind).map(|c| (n, c)))
    }

    /// Whether a number stands among the names: then the line is one of a name and its value.
    pub(super) fn has_number(&self) -> bool {
        let mut reader = NumberReader::default();
        let mut words = self.words.iter();
        words.any(|words| reader.number(words.as_bytes()).is_some())
    }

    /// The names as they stand, for messages.
    pub(super) fn words(&self) -> String {
        shown(&self.words.join(", "))
    }
}

/// Opens a table's file; the name is for messages.
pub(super) fn open(path: &Path) -> Result<(Box<dyn Rewindable>, String), TableError> {
    let name = path.display().to_string();
    let file = File::open(path).map_err(|source| ReadError::Io {
        path: name.clone(),
        source,
    })?;
    Ok((Box::new(file), name))
}

/// Reads a table: `places` chooses the columns by their names, `value` makes a value of a row's numbers, or says which number is
/// wrong and what it should be.
pub(super) fn read<const N: usize, V>(
    mut reader: Box<dyn Rewindable>,
    name: &str,
    places: impl FnOnce(&Named) -> Result<Places<N>, TableError>,
    value: impl Fn([f64; N]) -> Result<V, (f64, &'static str)>,
) -> Result<Rows<V>, TableError> {
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
    reader.rewind().map_err(refused)?;
    let named = Named::of(&table);
    let places = match places(&named) {
        Ok(places) => places,
        Err(unnamed) => {
            if let Some(found) = named.ambiguous {
                return Err(TableError::UnitAmbiguous {
                    path: name.to_owned(),
                    line: table.first_line,
                    found,
                });
            }
            let before = Lines::new(Input::new(&mut reader, name), 0);
            return Err(broken_between_rows(&table, before)?.unwrap_or(unnamed));
        }
    };
    let columns = Columns {
        places,
        table,
        name,
    };
    columns.check_before(Lines::new(Input::new(&mut reader, name), 0))?;
    reader
        .seek(SeekFrom::Start(columns.table.first_offset))
        .map_err(refused)?;
    let first = columns.table.first_line - 1;
    columns.read(Lines::new(Input::new(reader, name), first), value)
}

/// The line before the table where it begins with a number or rows come before it: no names stand there, but a row that is broken.
fn broken_between_rows<R: Read>(
    table: &Table,
    mut lines: Lines<R>,
) -> Result<Option<TableError>, TableError> {
    let path = lines.name().to_owned();
    let mut numbers = NumberReader::default();
    let mut is_row = false;
    let mut broken = None;
    while let Some(line) = lines.next()? {
        if line.number >= table.first_line {
            break;
        }
        let are_numbers: Vec<bool> = table
            .delimiter
            .fields(line.bytes)
            .map(|field| numbers.number(field).is_some())
            .collect();
        let starts = are_numbers.first() == Some(&true);
        is_row |= starts;
        let is_whole = are_numbers.len() == table.columns && !are_numbers.contains(&false);
        if is_row && !is_whole && !line.bytes.trim_ascii().is_empty() {
            broken = Some(TableError::RowBroken {
                path: path.clone(),
                line: line.number,
                found: shown(&String::from_utf8_lossy(line.bytes)),
                columns: table.columns,
            });
        }
    }
    Ok(broken)
}

struct Columns<'a, const N: usize> {
    places: Places<N>,
    table: Table,
    name: &'a str,
}

impl<const N: usize> Columns<'_, N> {
    /// Refuses a row between the names and the first row: it has more or fewer fields than the rest, and would be lost.
    fn check_before<R: Read>(&self, mut lines: Lines<R>) -> Result<(), TableError> {
        let (table, name) = (&self.table, self.name);
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

    fn read<R: Read, V>(
        &self,
        mut lines: Lines<R>,
        make: impl Fn([f64; N]) -> Result<V, (f64, &'static str)>,
    ) -> Result<Rows<V>, TableError> {
        let name = self.name;
        let mut result = Rows {
            frequencies_hz: Vec::new(),
            values: Vec::new(),
            warnings: Vec::new(),
        };
        let mut numbers = [NumberReader::default(); N];
        let mut last = 0;
        let mut falls = None;
        while let Some(line) = lines.next()? {
            last = line.number;
            if line.bytes.trim_ascii().is_empty() {
                continue;
            }
            let row = self.row(&mut numbers, &line, &make);
            if line.end == LineEnd::Text {
                result.warnings.push(match row {
                    Ok(_) => TableWarning::LastLineUnended { line: line.number },
                    Err(_) => TableWarning::PartialLine { line: line.number },
                });
                if row.is_err() {
                    break;
                }
            }
            let Some((frequency_hz, value)) = row? else {
                result
                    .warnings
                    .push(TableWarning::ZeroFrequency { line: line.number });
                continue;
            };
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
            result.values.push(value);
        }
        if result.frequencies_hz.is_empty() {
            return Err(TableError::NoPoints {
                path: name.to_owned(),
                lines: last,
            });
        }
        if falls == Some(true) {
            result.frequencies_hz.reverse();
            result.values.reverse();
            result.warnings.push(TableWarning::Reversed);
        }
        Ok(result)
    }

    /// Frequency and value of one row; `None` at 0 Hz.
    fn row<V>(
        &self,
        numbers: &mut [NumberReader; N],
        line: &Line<'_>,
        make: &impl Fn([f64; N]) -> Result<V, (f64, &'static str)>,
    ) -> Result<Option<(f64, V)>, TableError> {
        let (table, name) = (&self.table, self.name);
        let broken = || TableError::RowBroken {
            path: name.to_owned(),
            line: line.number,
            found: shown(&String::from_utf8_lossy(line.bytes)),
            columns: table.columns,
        };
        let mut values = [0.0; N];
        for ((value, reader), (place, column)) in values.iter_mut().zip(numbers).zip(&self.places) {
            let mut fields = table.delimiter.fields(line.bytes);
            let number = fields.nth(*place).and_then(|field| reader.number(field));
            *value = number.ok_or_else(broken)? * column.factor;
        }
        if line.end == LineEnd::Overlong
            || table.delimiter.fields(line.bytes).count() != table.columns
        {
            return Err(broken());
        }
        let invalid = |found: f64, expected| TableError::ValueInvalid {
            path: name.to_owned(),
            line: line.number,
            found,
            expected,
        };
        let frequency_hz = values[0];
        if frequency_hz == 0.0 {
            return Ok(None);
        }
        if !(frequency_hz.is_finite() && frequency_hz > 0.0) {
            return Err(invalid(frequency_hz, "a finite frequency above 0 Hz"));
        }
        let value = make(values).map_err(|(found, expected)| invalid(found, expected))?;
        Ok(Some((frequency_hz, value)))
    }
}
