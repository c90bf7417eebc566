use std::io::Read;

use super::clock::Grid;
use super::lines::{Line, LineEnd, Lines};
use super::row::{Delimiter, NumberReader};
use crate::capture::interleaved::note_non_finite;
use crate::capture::{BlockSource, CaptureInfo, ReadError, ReadWarning};

/// Characters of a line that a message shows.
const SHOWN_CHARACTERS: usize = 40;

/// Where the values of a row stand.
#[derive(Clone, Copy, Debug)]
pub(super) struct Columns {
    pub(super) delimiter: Delimiter,
    /// How many there are.
    pub(super) count: usize,
    /// The column that is read.
    pub(super) value: usize,
}

impl Columns {
    /// The field of a column; a row with another number of fields, or that is cut, is refused.
    pub(super) fn field<'text>(
        &self,
        name: &str,
        line: &Line<'text>,
        column: usize,
    ) -> Result<&'text [u8], ReadError> {
        let mut fields = self.delimiter.fields(line.bytes);
        let field = fields.nth(column);
        let complete = column + 1 + fields.count() == self.count && line.end != LineEnd::Overlong;
        field
            .filter(|_| complete)
            .ok_or_else(|| self.broken(name, line))
    }

    /// The error for a row that is none.
    pub(super) fn broken(&self, name: &str, line: &Line<'_>) -> ReadError {
        let shown = line.bytes.get(..SHOWN_CHARACTERS).unwrap_or(line.bytes);
        ReadError::RowBroken {
            path: name.to_owned(),
            line: line.number,
            found: shown.escape_ascii().to_string(),
            columns: self.count,
        }
    }
}

/// One column of a text, row by row.
pub(super) struct DelimitedSource<R> {
    lines: Lines<R>,
    info: CaptureInfo,
    columns: Columns,
    /// The unit of the column in the capture's unit.
    scale: f64,
    /// The times that the first column must show.
    grid: Option<Grid>,
    values: NumberReader,
    times: NumberReader,
    rows: u64,
    non_finite: Option<usize>,
    /// The last line, where it has no end.
    cut_line: Option<u64>,
    finished: bool,
    warnings: Vec<ReadWarning>,
}

impl<R: Read> DelimitedSource<R> {
    pub(super) fn new(
        lines: Lines<R>,
        info: CaptureInfo,
        columns: Columns,
        scale: f64,
        grid: Option<Grid>,
        warnings: Vec<ReadWarning>,
    ) -> Self {
        Self {
            lines,
            info,
            columns,
            scale,
            grid,
            values: NumberReader::default(),
            times: NumberReader::default(),
            rows: 0,
            non_finite: None,
            cut_line: None,
            finished: false,
            warnings,
        }
    }

    /// Says once what was missing at the end.
    fn finish(&mut self) {
        if std::mem::replace(&mut self.finished, true) {
            return;
        }
        self.warnings
            .extend(self.cut_line.map(|line| ReadWarning::PartialLine { line }));
        if self.rows == 0 {
            self.warnings.push(ReadWarning::NoSamples);
        }
    }

    /// The next value; `None` at the end.
    fn next_value(&mut self) -> Result<Option<f32>, ReadError> {
        if self.finished {
            return Ok(None);
        }
        loop {
            let name = self.info.source.name.as_str();
            let Some(line) = self.lines.next()? else {
                return Ok(None);
            };
            if line.bytes.trim_ascii().is_empty() {
                continue;
            }
            if line.end == LineEnd::Text {
                self.cut_line = Some(line.number);
                return Ok(None);
            }
            let columns = self.columns;
            let field = columns.field(name, &line, columns.value)?;
            let value = self
                .values
                .number(field)
                .ok_or_else(|| columns.broken(name, &line))?;
            if let Some(grid) = &self.grid {
                let field = columns.field(name, &line, 0)?;
                let time = self
                    .times
                    .number(field)
                    .ok_or_else(|| columns.broken(name, &line))?;
                grid.check(name, line.number, self.rows, time)?;
            }
            self.rows += 1;
            return Ok(Some((value * self.scale) as f32));
        }
    }
}

impl<R: Read + Send> BlockSource for DelimitedSource<R> {
    fn info(&self) -> &CaptureInfo {
        &self.info
    }

    fn read_block(&mut self, block: &mut [f32]) -> Result<usize, ReadError> {
        let first_row = self.rows;
        let mut written = 0;
        let mut ended = false;
        for slot in &mut *block {
            let Some(value) = self.next_value()? else {
                ended = true;
                break;
            };
            *slot = value;
            written += 1;
        }
        let fresh = block.get_mut(..written).unwrap_or_default();
        note_non_finite(
            fresh,
            first_row,
            1,
            &mut self.non_finite,
            &mut self.warnings,
        );
        if ended {
            self.finish();
        }
        Ok(written)
    }

    fn warnings(&self) -> &[ReadWarning] {
        &self.warnings
    }
}
