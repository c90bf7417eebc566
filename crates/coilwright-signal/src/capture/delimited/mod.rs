//! Delimited text as oscilloscopes and loggers export it.
//!
//! No standard describes it; the rules are common practice. Any lines of other text may come first; the table starts
//! with the first rows of numbers that go on. Fields are parted by tabs, semicolons, commas or spaces; numbers have a
//! decimal point or a decimal comma. The first of several columns is time, unless the heading says that it is a
//! running number or a voltage, or a rate was stated and it does not grow in equal steps. The rate comes from a
//! straight line through all printed times, so that a few printed digits still give it; uneven times are refused. A
//! last line without a line end may be cut and is dropped with a warning.
//!
//! A file with a time column is read twice, once for the rate and once for the samples, never as a whole.

mod clock;
pub(crate) mod heading;
pub(crate) mod lines;
mod printed;
pub(crate) mod row;
mod source;
mod steps;
pub(crate) mod table;

use std::io::{Read, SeekFrom};

use super::input::Input;
use super::interleaved::choice_warnings;
use super::open::Rewindable;
use super::{BlockSource, CaptureInfo, ReadError, ReadOptions, SampleKind, Source};
use clock::{Clock, Grid};
use heading::FirstColumn;
use lines::{LineEnd, Lines};
use row::{Digits, NumberReader};
use source::{Columns, DelimitedSource};
use table::Table;

/// Whether these may be the first bytes of a text; some bytes above 127 are letters in every older encoding.
pub(super) fn is_text(head: &[u8]) -> bool {
    head.iter()
        .all(|byte| matches!(byte, b'\t' | b'\n' | b'\r' | 0x0C | 0x1B | b' '..=b'~' | 0x80..))
}

/// Whether these are the first bytes of a text in UTF-16.
pub(crate) fn is_utf16(head: &[u8]) -> bool {
    head.starts_with(b"\xFF\xFE") || head.starts_with(b"\xFE\xFF")
}

/// Finds the table and its rate and starts at its first row.
pub(super) fn open(
    mut reader: Box<dyn Rewindable>,
    name: &str,
    options: &ReadOptions,
) -> Result<Box<dyn BlockSource>, ReadError> {
    let has_rate = options.sample_rate_hz.is_some();
    let table = Table::find(&mut Lines::new(Input::new(&mut reader, name), 0), has_rate)?;
    let first = table.first_column(has_rate);
    let channels =
        table.columns - usize::from(matches!(first, FirstColumn::Time | FirstColumn::Index));
    let channel = options.channel_of(name, channels)?;
    let columns = Columns {
        delimiter: table.delimiter,
        count: table.columns,
        value: channel + table.columns - channels,
    };
    let (grid, rate_hz) = if first == FirstColumn::Time && !has_rate {
        let grid = scan(rows_of(&mut reader, name, &table)?, columns, &table)?;
        (Some(grid), grid.rate_hz)
    } else {
        (None, options.rate(name, None)?)
    };
    let (unit, scale) = table
        .heading
        .voltage_scale(table.delimiter, table.columns, columns.value);
    let info = CaptureInfo {
        sample_rate_hz: options.rate(name, Some(rate_hz))?,
        kind: SampleKind::Real,
        unit,
        channel,
        channels,
        full_scale: None,
        step: None,
        length: grid.map(|grid| grid.rows),
        start_time: None,
        source: Source {
            name: name.to_owned(),
            format: format!("delimited text, {}", table.delimiter.words()),
        },
        storage: None,
    };
    let lines = rows_of(reader, name, &table)?;
    let warnings = choice_warnings(options, channels, None);
    Ok(Box::new(DelimitedSource::new(
        lines, info, columns, scale, grid, warnings,
    )))
}

/// The lines from the first row on.
fn rows_of<R: Rewindable>(mut reader: R, name: &str, table: &Table) -> Result<Lines<R>, ReadError> {
    reader
        .seek(SeekFrom::Start(table.first_offset))
        .map_err(|source| ReadError::Io {
            path: name.to_owned(),
            source,
        })?;
    Ok(Lines::new(Input::new(reader, name), table.first_line - 1))
}

/// Reads all times and returns the grid that they lie on.
fn scan<R: Read>(mut lines: Lines<R>, columns: Columns, table: &Table) -> Result<Grid, ReadError> {
    let name = lines.name().to_owned();
    let mut clock = Clock::new(table.heading.time_scale(table.delimiter, table.columns));
    let mut numbers = NumberReader::default();
    while let Some(line) = lines.next()? {
        if line.bytes.trim_ascii().is_empty() {
            continue;
        }
        if line.end == LineEnd::Text {
            break;
        }
        let field = columns.field(&name, &line, 0)?;
        let time = numbers
            .number(field)
            .ok_or_else(|| columns.broken(&name, &line))?;
        clock.note(&name, line.number, time, Digits::of(field))?;
    }
    clock.grid(&name)
}
