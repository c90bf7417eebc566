use crate::capture::ReadError;

/// Characters of a line that messages show.
const SHOWN: usize = 60;

/// Why a table over frequency could not be read.
///
/// Each message names the file, where in it, what was found, what was expected and what to do.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TableError {
    /// The file could not be read, or is no text with rows of numbers.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// There is not one byte.
    #[error(
        "{path}: byte 0: the file is empty, expected a table; export it again or check the name"
    )]
    Empty {
        /// The file as the user named it.
        path: String,
    },
    /// Data come before the option line.
    #[error(
        "{path}: line {line}: found `{found}`, expected the option line before it, such as `# Hz S RI R 50`; \
         add the line with the file's unit and format"
    )]
    OptionLineMissing {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// Its start.
        found: String,
    },
    /// A word of the option line is unknown.
    #[error(
        "{path}: line {line}: found `{found}` in the option line, expected a unit (Hz, kHz, MHz, GHz), a parameter (S, Y, Z), \
         a format (DB, MA, RI) or R and a resistance; correct the line or export S-parameters"
    )]
    OptionUnknown {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// The word.
        found: String,
    },
    /// The version is not read.
    #[error(
        "{path}: line {line}: found version `{found}`, expected 1.x or 2.x; export it as version 1 or 2"
    )]
    VersionUnknown {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// The version as it stands.
        found: String,
    },
    /// A keyword is unknown, out of place or of no use here.
    #[error(
        "{path}: line {line}: found `{found}`, expected {expected}; export it again as version 1"
    )]
    Keyword {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// The keyword with its argument.
        found: String,
        /// What may stand there.
        expected: &'static str,
    },
    /// The number of ports is not read.
    #[error(
        "{path}: line {line}: found {found} ports, expected 1 or 2; export the coil's port or the two ports alone"
    )]
    Ports {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// Ports stated, or numbers that no port count explains.
        found: usize,
    },
    /// A word among the data is no number.
    #[error("{path}: line {line}: found `{found}`, expected a number; correct or delete the line")]
    NumberBroken {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// The word.
        found: String,
    },
    /// A line has too many or too few numbers.
    #[error(
        "{path}: line {line}: found {found} numbers, expected {expected} (a frequency and the matrix); \
         correct the line or export it again"
    )]
    ValueCount {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// Numbers there.
        found: usize,
        /// Numbers of a point.
        expected: usize,
    },
    /// Frequencies do not rise.
    #[error(
        "{path}: line {line}: found {found_hz} Hz after {before_hz} Hz, expected rising frequencies; sort the table and drop repeats"
    )]
    FrequencyOrder {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// The frequency.
        found_hz: f64,
        /// The one before.
        before_hz: f64,
    },
    /// A value that no coil can have stands in a row: infinite, not a number, or a Q or frequency that is not positive.
    #[error("{path}: line {line}: found {found}, expected {expected}; correct or delete the line")]
    ValueInvalid {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// The value.
        found: f64,
        /// What it must be.
        expected: &'static str,
    },
    /// The table holds no point.
    #[error("{path}: line {lines}: found no point of data, expected at least one; export it again")]
    NoPoints {
        /// The file as the user named it.
        path: String,
        /// Lines that were looked at.
        lines: u64,
    },
    /// There are more points than are read.
    #[error(
        "{path}: line {line}: found more than {limit} points, expected fewer; export a narrower sweep"
    )]
    TooLong {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// Most points that are read.
        limit: usize,
    },
    /// The heading does not say what the columns are.
    #[error(
        "{path}: line {line}: found columns named `{found}`, expected a frequency and |Z| and phase, R and X, L and Q, or L and R; \
         name the columns in the line before the first row, or state the layout"
    )]
    ColumnsUnnamed {
        /// The file as the user named it.
        path: String,
        /// Line of the first row.
        line: u64,
        /// The names, or nothing.
        found: String,
    },
    /// The case of a unit in the heading leaves open whether it is milli or mega.
    #[error(
        "{path}: line {line}: found the unit `{found}` in the heading, expected milli or mega that its case tells apart; \
         write MHz for megahertz, mOhm for milliohm or MOhm for megohm"
    )]
    UnitAmbiguous {
        /// The file as the user named it.
        path: String,
        /// Line of the first row.
        line: u64,
        /// The unit as it stands.
        found: String,
    },
    /// The heading names neither an impedance's columns nor an amplitude.
    #[error(
        "{path}: line {line}: found columns named `{found}`, expected a frequency and an amplitude, or a frequency and |Z| and phase, R and X, \
         L and Q, or L and R; name the columns in the line before the first row"
    )]
    AmplitudeUnnamed {
        /// The file as the user named it.
        path: String,
        /// Line of the first row.
        line: u64,
        /// The names, or nothing.
        found: String,
    },
    /// A row of the table is none.
    #[error(
        "{path}: line {line}: found `{found}`, expected {columns} numbers like the other rows; correct or delete the line"
    )]
    RowBroken {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// Its start.
        found: String,
        /// Fields of the other rows.
        columns: usize,
    },
}

/// The start of what was found, with a mark in place of what cannot be printed.
pub(super) fn shown(text: &str) -> String {
    let printed = |c: char| if c.is_control() { '\u{FFFD}' } else { c };
    text.chars().take(SHOWN).map(printed).collect()
}
