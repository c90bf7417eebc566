//! Replays the broken files of `testdata/broken`: none may panic, and each is told as `expected.tsv` says.

use std::fs;
use std::path::{Path, PathBuf};

use coilwright_signal::capture::{ReadOptions, open, open_stream, read_all};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../testdata/broken");

/// The broken files, by name.
fn files() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(FOLDER)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| !path.ends_with("README.md") && !path.ends_with("expected.tsv"))
        .filter(|path| {
            path.extension()
                .is_none_or(|extension| extension != "sigmf-data")
        })
        .collect();
    files.sort();
    files
}

/// What must be stated to read a file: a rate for arrays, and the type of bare samples.
fn options(path: &Path) -> ReadOptions {
    let extension = path.extension().and_then(|extension| extension.to_str());
    ReadOptions {
        sample_rate_hz: matches!(extension, Some("npy" | "i16")).then_some(1e6),
        raw_type: (extension == Some("i16")).then(|| "i16le".parse().unwrap()),
        ..ReadOptions::default()
    }
}

/// One line of `expected.tsv`: the name, how many samples were read, and the messages.
fn line(path: &Path) -> String {
    let name = path.file_name().unwrap().to_str().unwrap();
    let outcome = open(path, &options(path)).and_then(|mut source| read_all(&mut *source));
    let (samples, told) = match outcome {
        Ok((capture, warnings)) => {
            let told: Vec<String> = warnings.iter().map(ToString::to_string).collect();
            (capture.samples.len().to_string(), told.join(" | "))
        }
        Err(error) => ("error".to_owned(), error.to_string()),
    };
    let told = told.replace(&format!("{FOLDER}/"), "");
    format!("{name}\t{samples}\t{told}\n")
}

#[test]
fn every_broken_file_is_told_as_expected() {
    let found: String = files().iter().map(|path| line(path)).collect();
    let expected = fs::read_to_string(Path::new(FOLDER).join("expected.tsv")).unwrap();
    for (one, other) in found.lines().zip(expected.lines()) {
        assert_eq!(one, other, "all that was found:\n{found}");
    }
    assert_eq!(
        found.lines().count(),
        expected.lines().count(),
        "all that was found:\n{found}"
    );
}

/// A stream gives the samples and the warnings of the file, where streams of its kind are read.
#[test]
fn a_broken_stream_is_told_like_the_file() {
    let mut compared = 0;
    for path in files() {
        let bytes = fs::read(&path).unwrap();
        let stream = open_stream(Box::new(std::io::Cursor::new(bytes)), "-", &options(&path));
        let (Ok(mut stream), Ok(mut file)) = (stream, open(&path, &options(&path))) else {
            continue;
        };
        let (streamed, stream_warnings) = read_all(&mut *stream).unwrap();
        let (whole, warnings) = read_all(&mut *file).unwrap();
        assert_eq!(streamed.samples, whole.samples, "{}", path.display());
        assert_eq!(stream_warnings, warnings, "{}", path.display());
        compared += 1;
    }
    assert!(compared > 10, "{compared}");
}
