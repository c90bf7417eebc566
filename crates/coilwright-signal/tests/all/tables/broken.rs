//! Replays the broken files of `testdata/broken_tables`: each is told as `expected.tsv` says.

use coilwright_signal::table::{ImpedanceReadOptions, read_impedance_table, read_touchstone};
use std::fs;
use std::path::{Path, PathBuf};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../testdata/broken_tables");

fn files() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(FOLDER)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| !path.ends_with("README.md") && !path.ends_with("expected.tsv"))
        .collect();
    files.sort();
    files
}

/// The name, how many points were read, and the messages.
fn line(path: &Path) -> String {
    let name = path.file_name().unwrap().to_str().unwrap();
    let outcome = if path.extension().is_some_and(|e| e == "csv") {
        read_impedance_table(path, &ImpedanceReadOptions::default())
            .map(|table| (table.frequencies_hz.len(), table.warnings))
    } else {
        read_touchstone(path).map(|table| (table.frequencies_hz.len(), table.warnings))
    };
    let (points, told) = match outcome {
        Ok((points, warnings)) => {
            let told: Vec<String> = warnings.iter().map(ToString::to_string).collect();
            (points.to_string(), told.join(" | "))
        }
        Err(error) => ("error".to_owned(), error.to_string()),
    };
    format!(
        "{name}\t{points}\t{}\n",
        told.replace(&format!("{FOLDER}/"), "")
    )
}

#[test]
fn every_broken_table_is_told_as_expected() {
    let found: String = files().iter().map(|path| line(path)).collect();
    let expected = fs::read_to_string(Path::new(FOLDER).join("expected.tsv")).unwrap_or_default();
    assert_eq!(found, expected, "all that was found:\n{found}");
    assert!(found.lines().count() >= 30);
}
