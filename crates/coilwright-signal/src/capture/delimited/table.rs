use std::collections::VecDeque;
use std::io::Read;

use super::heading::{FirstColumn, HEADING_BYTES, HEADING_LINES, Heading};
use super::lines::{Line, LineEnd, Lines};
use super::row::{Delimiter, NumberReader};
use crate::capture::ReadError;

/// Rows in sequence that make a table certain.
const CERTAIN_ROWS: u64 = 64;
/// Rows after which integers that count are no whole parts of decimal numbers.
const COUNTING_ROWS: u64 = 8;
/// Relative difference of two steps of a first column that is taken for time although nothing says so.
const STEP_DIFFERENCE: f64 = 0.1;

/// Where the numbers stand in a text.
#[derive(Clone, Debug)]
pub(crate) struct Table {
    pub(crate) delimiter: Delimiter,
    pub(crate) columns: usize,
    /// Number of the first row's line and the byte at which it starts.
    pub(crate) first_line: u64,
    pub(crate) first_offset: u64,
    pub(crate) heading: Heading,
    /// Whether the first column of the rows seen grows in equal steps.
    pub(super) first_column_steps: bool,
}

impl Table {
    /// Finds the first rows of numbers behind any lines of other text.
    pub(crate) fn find<R: Read>(lines: &mut Lines<R>, has_rate: bool) -> Result<Self, ReadError> {
        let mut runs = Delimiter::ALL.map(Run::new);
        let mut longest = Delimiter::ALL.map(Run::new);
        let mut recent: VecDeque<Vec<u8>> = VecDeque::new();
        let mut count = 0;
        while let Some(line) = lines.next()? {
            count = line.number;
            if line.bytes.trim_ascii().is_empty() {
                continue;
            }
            for (run, longest) in runs.iter_mut().zip(&mut longest) {
                if let Some(ended) = run.add(line, &recent)
                    && ended.rows >= longest.rows
                {
                    *longest = ended;
                }
            }
            if runs.iter().any(|run| run.rows >= CERTAIN_ROWS) {
                break;
            }
            recent.truncate(HEADING_LINES - 1);
            recent.push_front(
                line.bytes
                    .get(..HEADING_BYTES)
                    .unwrap_or(line.bytes)
                    .to_vec(),
            );
        }
        for (run, longest) in runs.iter_mut().zip(longest) {
            if longest.rows > run.rows {
                *run = longest;
            }
        }
        let best = best(&runs, has_rate).ok_or_else(|| ReadError::NoTable {
            path: lines.name().to_owned(),
            lines: count,
        })?;
        Ok(best.table())
    }

    /// What the first column is, as the heading says or else as its values look.
    pub(super) fn first_column(&self, has_rate: bool) -> FirstColumn {
        if self.columns < 2 {
            return FirstColumn::Voltage;
        }
        match self.heading.first_column(self.delimiter, self.columns) {
            FirstColumn::Unsaid if !has_rate || self.first_column_steps => FirstColumn::Time,
            FirstColumn::Unsaid => FirstColumn::Voltage,
            said => said,
        }
    }
}

/// The run with the most rows, of these the one with the most columns.
fn best(runs: &[Run; 5], has_rate: bool) -> Option<&Run> {
    let rank = |run: &Run| (run.rows, run.columns);
    let mut best: Option<&Run> = None;
    for run in runs.iter().filter(|run| run.rows > 0) {
        if best.is_none_or(|best| rank(run) > rank(best)) {
            best = Some(run);
        }
    }
    let [.., bare] = runs;
    best.map(|best| {
        if has_rate && bare.rows >= best.rows && best.may_be_bare() {
            bare
        } else {
            best
        }
    })
}

/// Rows in sequence that are numbers under one delimiter.
struct Run {
    delimiter: Delimiter,
    numbers: NumberReader,
    rows: u64,
    columns: usize,
    first_line: u64,
    first_offset: u64,
    heading: Vec<Vec<u8>>,
    first_value: f64,
    last_value: f64,
    steps: bool,
    /// Whether each row could be one number with a decimal comma.
    halves_of_numbers: bool,
}

impl Run {
    fn new(delimiter: Delimiter) -> Self {
        Self {
            delimiter,
            numbers: NumberReader::default(),
            rows: 0,
            columns: 0,
            first_line: 0,
            first_offset: 0,
            heading: Vec::new(),
            first_value: 0.0,
            last_value: 0.0,
            steps: true,
            halves_of_numbers: true,
        }
    }

    /// Takes the next line and returns the run that it ended, if it did.
    fn add(&mut self, line: Line<'_>, recent: &VecDeque<Vec<u8>>) -> Option<Self> {
        if line.end == LineEnd::Text {
            // The last line may be cut.
            return None;
        }
        let row = if line.end == LineEnd::Feed {
            self.row(line.bytes)
        } else {
            None
        };
        let Some((columns, first)) = row else {
            return Some(std::mem::replace(self, Self::new(self.delimiter)));
        };
        let goes_on = self.rows > 0 && columns == self.columns;
        let ended = (!goes_on).then(|| self.restart(line, columns, first, recent));
        if goes_on {
            self.note_step(first);
        }
        self.last_value = first;
        self.rows += 1;
        self.halves_of_numbers &= is_decimal_comma(line.bytes);
        ended
    }

    /// Starts at this line and returns the run before.
    fn restart(
        &mut self,
        line: Line<'_>,
        columns: usize,
        first: f64,
        recent: &VecDeque<Vec<u8>>,
    ) -> Self {
        let fresh = Self {
            numbers: self.numbers,
            columns,
            first_line: line.number,
            first_offset: line.offset,
            heading: recent.iter().cloned().collect(),
            first_value: first,
            ..Self::new(self.delimiter)
        };
        std::mem::replace(self, fresh)
    }

    /// Holds the step of the first column to this value against the mean of those before.
    fn note_step(&mut self, first: f64) {
        let step = (self.last_value - self.first_value) / (self.rows - 1).max(1) as f64;
        let fresh = first - self.last_value;
        let equal = self.rows == 1 || (fresh - step).abs() <= STEP_DIFFERENCE * step.abs();
        self.steps &= equal && fresh > 0.0;
    }

    /// How many fields the line has and the first of them, if all that are not empty are numbers.
    fn row(&mut self, bytes: &[u8]) -> Option<(usize, f64)> {
        let mut first = None;
        let mut columns = 0;
        let mut empty = 0;
        for field in self.delimiter.fields(bytes) {
            let value = if field.is_empty() {
                None
            } else {
                Some(self.numbers.number(field)?)
            };
            empty += usize::from(value.is_none());
            first.get_or_insert(value.unwrap_or(f64::NAN));
            columns += 1;
        }
        Some((columns, first?)).filter(|_| empty < columns)
    }

    /// Whether this looks like two columns of integers but may be one column with a decimal comma.
    fn may_be_bare(&self) -> bool {
        let named = Heading::new(self.heading.clone()).names_columns(self.delimiter, 2);
        let counts = self.first_column_steps() && self.rows >= COUNTING_ROWS;
        self.delimiter == Delimiter::Comma && self.halves_of_numbers && !counts && !named
    }

    /// Whether the first column grows in equal steps.
    fn first_column_steps(&self) -> bool {
        self.steps && self.rows > 2
    }

    fn table(&self) -> Table {
        Table {
            delimiter: self.delimiter,
            columns: self.columns,
            first_line: self.first_line,
            first_offset: self.first_offset,
            heading: Heading::new(self.heading.clone()),
            first_column_steps: self.first_column_steps(),
        }
    }
}

/// Whether a line is one number with a decimal comma: digits, a comma, digits.
fn is_decimal_comma(bytes: &[u8]) -> bool {
    let mut parts = bytes.trim_ascii().splitn(2, |&byte| byte == b',');
    let whole = parts.next().unwrap_or_default();
    let fraction = parts.next().unwrap_or(b"0");
    let whole = whole
        .strip_prefix(b"-")
        .or_else(|| whole.strip_prefix(b"+"))
        .unwrap_or(whole);
    whole.iter().all(u8::is_ascii_digit) && fraction.first().is_some_and(u8::is_ascii_digit)
}
