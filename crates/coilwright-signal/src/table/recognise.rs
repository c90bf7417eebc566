//! Whether a text is a table over frequency, by its content.

use super::impedance_columns::Kind;
use super::rows::Named;
use super::touchstone::is_option_line;
use crate::capture::delimited::lines::Lines;
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
    let table = match Table::find(&mut Lines::new(Input::new(&mut reader, name), 0), false) {
        Ok(table) => table,
        Err(ReadError::NoTable { .. }) => return Ok(None),
        Err(other) => return Err(other),
    };
    let named = Named::of(&table);
    let has_frequency = named.place(Kind::Frequency).is_some()
        || named.ambiguous.is_some()
        || named.words().to_lowercase().contains("freq");
    Ok(has_frequency.then_some(TableKind::Delimited))
}

/// Looks for the option line or the version before the first row of numbers.
fn is_touchstone<R: Read>(mut lines: Lines<R>) -> Result<bool, ReadError> {
    let mut options = false;
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
            return Ok(options && numbers >= 3);
        }
        options |= is_option_line(content);
    }
    // Options without a row are a Touchstone file that is cut.
    Ok(options)
}
