use super::row::Delimiter;
use crate::capture::Unit;

/// The lines before the first row of numbers, nearest first.
#[derive(Clone, Debug, Default)]
pub(crate) struct Heading {
    lines: Vec<Vec<u8>>,
}

/// Lines before the first row that may name columns and units.
pub(super) const HEADING_LINES: usize = 4;
/// Bytes of such a line that are looked at.
pub(super) const HEADING_BYTES: usize = 4096;

const INDEX_NAMES: &[&str] = &[
    "index", "sample", "samples", "point", "points", "number", "no", "no.", "nr", "n", "#",
];
const TIME_NAMES: &[&str] = &["time", "t", "x", "x-axis", "timestamp"];

/// What the heading says about the first column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum FirstColumn {
    Time,
    /// A running number.
    Index,
    Voltage,
    Unsaid,
}

impl Heading {
    pub(super) fn new(lines: Vec<Vec<u8>>) -> Self {
        Self { lines }
    }

    /// What the first column is, from the nearest line that says it.
    pub(crate) fn first_column(&self, delimiter: Delimiter, columns: usize) -> FirstColumn {
        self.fields(delimiter, columns, 0)
            .find_map(|field| {
                if parts(&field).next().is_some()
                    && parts(&field).all(|part| is_one_of(part, INDEX_NAMES))
                {
                    Some(FirstColumn::Index)
                } else if parts(&field)
                    .next()
                    .is_some_and(|part| is_one_of(part, TIME_NAMES))
                    || seconds(&field).is_some()
                {
                    Some(FirstColumn::Time)
                } else {
                    volts(&field).map(|_| FirstColumn::Voltage)
                }
            })
            .unwrap_or(FirstColumn::Unsaid)
    }

    /// Whether the nearest line has this many fields.
    pub(super) fn names_columns(&self, delimiter: Delimiter, columns: usize) -> bool {
        self.lines
            .first()
            .is_some_and(|line| delimiter.fields(line).count() == columns)
    }

    /// Seconds in one unit of the time column; 1 where the heading is silent.
    pub(super) fn time_scale(&self, delimiter: Delimiter, columns: usize) -> f64 {
        self.fields(delimiter, columns, 0)
            .find_map(|field| seconds(&field))
            .unwrap_or(1.0)
    }

    /// The unit of a column and its factor.
    pub(super) fn voltage_scale(
        &self,
        delimiter: Delimiter,
        columns: usize,
        column: usize,
    ) -> (Unit, f64) {
        self.fields(delimiter, columns, column)
            .find_map(|field| volts(&field))
            .map_or((Unit::Unknown, 1.0), |factor| (Unit::Volt, factor))
    }

    /// The words over a column, nearest first, from lines of any width: empty fields at an end are not counted.
    pub(crate) fn over(&self, delimiter: Delimiter, column: usize) -> impl Iterator<Item = String> {
        self.lines
            .iter()
            .filter_map(move |line| delimiter.fields(line).nth(column).map(words))
    }

    /// The words over a column, nearest first, from lines with as many fields as the table.
    fn fields(
        &self,
        delimiter: Delimiter,
        columns: usize,
        column: usize,
    ) -> impl Iterator<Item = String> {
        self.lines
            .iter()
            .filter(move |line| delimiter.fields(line).count() == columns)
            .filter_map(move |line| delimiter.fields(line).nth(column).map(words))
    }
}

/// The field with micro signs of any encoding as `u`.
fn words(field: &[u8]) -> String {
    let text = match std::str::from_utf8(field) {
        Ok(text) => text.to_owned(),
        Err(_) => field.iter().map(|&byte| char::from(byte)).collect(),
    };
    text.replace(['\u{B5}', '\u{3BC}'], "u")
}

pub(crate) fn parts(field: &str) -> impl DoubleEndedIterator<Item = &str> {
    field
        .split([' ', '(', ')', '[', ']', '/', '_', ','])
        .filter(|part| !part.is_empty())
}

fn is_one_of(part: &str, names: &[&str]) -> bool {
    names.iter().any(|name| part.eq_ignore_ascii_case(name))
}

/// Seconds in the unit at the end of a field.
fn seconds(field: &str) -> Option<f64> {
    match parts(field).next_back()?.to_ascii_lowercase().as_str() {
        "s" | "sec" | "second" | "seconds" => Some(1.0),
        "ms" | "msec" | "millisecond" | "milliseconds" => Some(1e-3),
        "us" | "usec" | "microsecond" | "microseconds" => Some(1e-6),
        "ns" | "nsec" | "nanosecond" | "nanoseconds" => Some(1e-9),
        _ => None,
    }
}

/// Volts in the unit at the end of a field.
fn volts(field: &str) -> Option<f64> {
    match parts(field).next_back()? {
        "V" | "v" | "Volt" | "Volts" | "volt" | "volts" | "VOLT" | "VOLTS" => Some(1.0),
        "mV" | "mv" | "millivolt" | "millivolts" => Some(1e-3),
        "uV" | "uv" | "microvolt" | "microvolts" => Some(1e-6),
        "kV" | "kv" => Some(1e3),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_of_columns() {
        let heading = Heading::new(vec![
            "\"(ms)\";\"(mV)\";(V)".into(),
            "Time;A;B".into(),
            "Remark;x".into(),
        ]);
        let delimiter = Delimiter::Semicolon;
        assert_eq!(heading.first_column(delimiter, 3), FirstColumn::Time);
        assert!((heading.time_scale(delimiter, 3) - 1e-3).abs() < 1e-18);
        assert_eq!(heading.voltage_scale(delimiter, 3, 1), (Unit::Volt, 1e-3));
        assert_eq!(heading.voltage_scale(delimiter, 3, 2), (Unit::Volt, 1.0));
        assert_eq!(heading.voltage_scale(delimiter, 2, 1), (Unit::Unknown, 1.0));
    }

    #[test]
    fn the_micro_sign_in_any_encoding() {
        for field in [
            &b"Time [\xB5s]"[..],
            "t/\u{B5}s".as_bytes(),
            "\u{3BC}s".as_bytes(),
            b"us",
        ] {
            assert_eq!(
                seconds(&words(field)),
                Some(1e-6),
                "{}",
                field.escape_ascii()
            );
        }
        assert_eq!(seconds("Volts"), None);
        assert_eq!(volts("CH1 (V)"), Some(1.0));
    }
}
