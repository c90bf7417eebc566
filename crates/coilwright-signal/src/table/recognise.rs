//! Whether a text is a table over frequency, by its content.

use super::columns::{Column, Kind};
use super::rows::Named;
use super::touchstone::is_option_line;
use crate::capture::delimited::heading::FirstColumn;
use crate::capture::delimited::lines::Lines;
use crate::capture::delimited::row::{Delimiter, NumberReader};
use crate::capture::delimited::table::Table;
use crate::capture::input::Input;
use crate::capture::{ReadError, Rewindable};
use std::io::Read;

/// Bytes that tell text from other files.
const HEAD_BYTES: u64 = 4096;
/// Lines of comments and heading before the first row.
const MOST_LINES: u64 = 100_000;

/// A table over frequency.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum TableKind {
    /// A network analyser's file, for [`read_touchstone`](super::read_touchstone).
    Touchstone,
    /// Delimited text whose heading names a frequency, for [`read_impedance_table`](super::read_impedance_table) or
    /// [`read_sweep_table`](super::read_sweep_table).
    Delimited,
}

/// Says which table over frequency a file holds, by its content; `None` for anything else, such as a capture.
///
/// A Touchstone file has an option line or a version after its comments; its words may stand in any order, and none need be there.
///
/// # Errors
/// When the file cannot be read.
///
/// ```
/// use std::io::Cursor;
/// use coilwright_signal::table::{TableKind, recognise_table};
/// let kind = |text: &'static str| recognise_table(Box::new(Cursor::new(text)), "a");
/// assert_eq!(kind("! coil\n# S RI R 50 Hz\n100 0.5 0.5\n")?, Some(TableKind::Touchstone));
/// assert_eq!(kind("Hz;Ohm;deg\n100;628;89\n")?, Some(TableKind::Delimited));
/// assert_eq!(kind("time (s),V\n0,0.1\n1e-6,0.2\n")?, None);
/// # Ok::<(), coilwright_signal::capture::ReadError>(())
/// ```
pub fn recognise_table(
    mut reader: Box<dyn Rewindable>,
    name: &str,
) -> Result<Option<TableKind>, ReadError> {
    let refused = |source| ReadError::Io {
        path: name.to_owned(),
        source,
    };
    let mut head = Vec::new();
    (&mut reader)
        .take(HEAD_BYTES)
        .read_to_end(&mut head)
        .map_err(refused)?;
    if head.contains(&0) {
        return Ok(None);
    }
    reader.rewind().map_err(refused)?;
    if is_touchstone(Lines::new(Input::new(&mut reader, name), 0))? {
        return Ok(Some(TableKind::Touchstone));
    }
    reader.rewind().map_err(refused)?;
    let over_rows = over_rows(&mut Lines::new(Input::new(&mut reader, name), 0))?;
    let is_table = if let Some(names_frequency) = over_rows {
        names_frequency
    } else {
        reader.rewind().map_err(refused)?;
        has_heading(Lines::new(Input::new(&mut reader, name), 0))?
    };
    Ok(is_table.then_some(TableKind::Delimited))
}

/// Whether the words over the rows of numbers name a frequency; `None` where they name neither that nor a time, or a value stands among them.
fn over_rows<R: Read>(lines: &mut Lines<R>) -> Result<Option<bool>, ReadError> {
    let table = match Table::find(lines, false) {
        Ok(table) => table,
        Err(ReadError::NoTable { .. }) => return Ok(None),
        Err(other) => return Err(other),
    };
    let named = Named::of(&table);
    if named.has_number() {
        return Ok(None);
    }
    let names_frequency = named.place(Kind::Frequency).is_some()
        || named.ambiguous.is_some()
        || named.words().to_lowercase().contains("freq");
    let names_time =
        || table.heading.first_column(table.delimiter, table.columns) == FirstColumn::Time;
    Ok(if names_frequency {
        Some(true)
    } else {
        names_time().then_some(false)
    })
}

/// Whether a line before the first row names columns, a frequency among them; rows may be broken or missing, which the table's reader
/// says. A line of a name and its value, such as `Sample freq;1000000`, names no columns.
fn has_heading<R: Read>(mut lines: Lines<R>) -> Result<bool, ReadError> {
    while let Some(line) = lines.next()? {
        if line.number > MOST_LINES {
            break;
        }
        for delimiter in [Delimiter::Tab, Delimiter::Semicolon, Delimiter::Comma] {
            let fields: Vec<&[u8]> = delimiter.fields(line.bytes).collect();
            let mut numbers = NumberReader::default();
            if fields.iter().all(|field| numbers.number(field).is_some()) {
                return Ok(false);
            }
            let columns = fields
                .iter()
                .filter_map(|field| Column::of(&String::from_utf8_lossy(field)));
            let kinds: Vec<Kind> = columns.map(|column| column.kind).collect();
            if kinds.len() > 1 && kinds.contains(&Kind::Frequency) {
                return Ok(true);
            }
        }
    }
    Ok(false)
}

/// Whether a line is an option line that begins with a frequency's unit, whatever follows: its reader says what is wrong.
fn begins_with_unit(content: &str) -> bool {
    let first = content
        .strip_prefix('#')
        .and_then(|words| words.split_whitespace().next());
    first.is_some_and(|word| {
        ["hz", "khz", "mhz", "ghz"].contains(&word.to_ascii_lowercase().as_str())
    })
}

/// Looks for the option line or the version before the first row of numbers.
fn is_touchstone<R: Read>(mut lines: Lines<R>) -> Result<bool, ReadError> {
    let (mut options, mut unit) = (false, false);
    while let Some(line) = lines.next()? {
        let text = String::from_utf8_lossy(line.bytes);
        let content = text.split('!').next().unwrap_or_default().trim();
        if content.is_empty() {
            continue;
        }
        if content.to_ascii_lowercase().starts_with("[version]") {
            return Ok(true);
        }
        let numbers = content
            .split_whitespace()
            .map_while(|word| word.parse::<f64>().ok())
            .count();
        let begins = content.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c));
        if begins || numbers > 0 || line.number > MOST_LINES {
            // One port has three numbers a row, two have nine; other counts are for the reader to refuse.
            return Ok(unit || options && numbers >= 3);
        }
        options |= is_option_line(content);
        unit |= begins_with_unit(content);
    }
    // Options without a row are a Touchstone file that is cut.
    Ok(options || unit)
}
