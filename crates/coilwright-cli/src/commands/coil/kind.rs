use std::fs::File;
use std::io::Read as _;
use std::path::Path;

use coilwright_signal::table::{TableKind, recognise_table};

/// Bytes that are looked at.
const HEAD_BYTES: u64 = 4096;

/// What a file holds, by its content.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A network analyser's file.
    Touchstone,
    /// Delimited text over frequency.
    Table,
    /// Samples over time.
    Capture,
}

/// Decides by the content; what cannot be read is left to the reader, which says why.
pub(crate) fn kind_of(path: &Path) -> Kind {
    match recognised(path) {
        Some(TableKind::Touchstone) => Kind::Touchstone,
        Some(_) => Kind::Table,
        None => by_words(path),
    }
}

fn recognised(path: &Path) -> Option<TableKind> {
    let is_file = path.metadata().is_ok_and(|metadata| metadata.is_file());
    let file = File::open(path).ok().filter(|_| is_file)?;
    let name = path.display().to_string();
    recognise_table(Box::new(file), &name).ok().flatten()
}

/// A table with a broken row near its beginning is still a table: its reader says which row.
fn by_words(path: &Path) -> Kind {
    let mut head = Vec::new();
    let read = File::open(path).and_then(|file| file.take(HEAD_BYTES).read_to_end(&mut head));
    if read.is_err() || head.contains(&0) {
        return Kind::Capture;
    }
    let text = String::from_utf8_lossy(&head).to_lowercase();
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let touchstone = |line: &str| {
        let options = line.strip_prefix('#').map(str::split_whitespace);
        let unit = |word: &str| ["hz", "khz", "mhz", "ghz"].contains(&word);
        line.starts_with("[version]")
            || options.is_some_and(|mut words| words.next().is_some_and(unit))
    };
    if lines.clone().any(touchstone) {
        return Kind::Touchstone;
    }
    if lines.any(|line| line.contains("freq") || line.contains("hz)") || has_column_f(line)) {
        return Kind::Table;
    }
    Kind::Capture
}

/// Whether a line is a heading with a column `f`, as handbooks write a frequency.
fn has_column_f(line: &str) -> bool {
    let cells = line.split([',', ';', '\t']);
    let cells: Vec<&str> = cells.map(|cell| cell.trim().trim_matches('"')).collect();
    cells.len() > 1 && cells.contains(&"f")
}
