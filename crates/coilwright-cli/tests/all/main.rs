//! The command as a person or a program meets it: exit codes, text, JSON, messages, streams.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod coil;
mod coil_judged;
mod coil_model;
mod coil_model_circuit;
mod coil_model_said;
mod coil_swept;
mod downlink;
mod errors;
mod files;
mod guide;
mod json;
mod sandpiper;
mod streams;
mod synth;
mod tapped;

use std::path::PathBuf;

/// What one run wrote, without styles, and how it ended.
struct Run {
    code: u8,
    data: String,
    messages: String,
}

/// Runs the command in this process with the given arguments.
fn coilwright<S: AsRef<str>>(arguments: &[S]) -> Run {
    let mut data = anstream::StripStream::new(Vec::new());
    let mut messages = anstream::StripStream::new(Vec::new());
    let all = std::iter::once("coilwright").chain(arguments.iter().map(AsRef::as_ref));
    let status = coilwright_cli::run(all, &mut data, &mut messages);
    Run {
        code: status.code(),
        data: String::from_utf8(data.into_inner()).unwrap(),
        messages: String::from_utf8(messages.into_inner()).unwrap(),
    }
}

/// A file or folder of the repository.
fn repository(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .join(path)
}

/// Writes half a second of silence and returns its path.
fn silence(folder: &tempfile::TempDir) -> String {
    let path = folder.path().join("silence.wav");
    let specification = hound::WavSpec {
        channels: 1,
        sample_rate: 500_000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(&path, specification).unwrap();
    for _ in 0..250_000 {
        writer.write_sample(0_i16).unwrap();
    }
    writer.finalize().unwrap();
    path.to_str().unwrap().to_owned()
}
