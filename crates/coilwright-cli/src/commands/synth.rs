use std::fs;
use std::path::{Path, PathBuf};

use coilwright_signal::capture::{Capture, WavSample, write_wav};
use coilwright_simulate::{Scenario, Truth};
use serde::Serialize;

use crate::Status;
use crate::args::SynthArgs;
use crate::draft::{Existing, place};
use crate::error::CommandError;
use crate::streams::Streams;

/// The files of one simulated capture.
#[derive(Serialize)]
struct Written {
    capture: PathBuf,
    truth: PathBuf,
    /// The capture of the same lock when it was good, where the fault is told only by comparison.
    good: Option<PathBuf>,
}

/// Makes captures with known truth; stops at the first that cannot be made.
pub(crate) fn run(arguments: &SynthArgs, streams: &mut Streams<'_>) -> Status {
    match make_all(arguments) {
        Ok(written) if arguments.json => match serde_json::to_string_pretty(&written) {
            Ok(text) => streams.print(&format!("{text}\n")),
            Err(error) => streams.refuse(&error),
        },
        Ok(written) => streams.print(&list(&written)),
        Err(error) => streams.refuse(&error),
    }
}

fn make_all(arguments: &SynthArgs) -> Result<Vec<Written>, CommandError> {
    fs::create_dir_all(&arguments.out).map_err(|source| CommandError::Write {
        path: arguments.out.clone(),
        source,
    })?;
    (0..u64::from(arguments.count))
        .map(|index| make(arguments, arguments.seed.wrapping_add(index)))
        .collect()
}

fn make(arguments: &SynthArgs, seed: u64) -> Result<Written, CommandError> {
    let scenario = scenario(arguments, seed)?;
    let simulated = scenario.simulate()?;
    let stem = format!("{}-{seed}", arguments.fault.identifier());
    let file = |ending: &str| arguments.out.join(format!("{stem}{ending}"));

    let sample = container(scenario.setup.recorder.bits);
    let capture = write_capture(file(".wav"), &simulated.capture, sample)?;
    let good = match &simulated.reference {
        Some(reference) => Some(write_capture(file("-good.wav"), reference, sample)?),
        None => None,
    };
    let truth = write_truth(file(".json"), &simulated.truth)?;
    Ok(Written {
        capture,
        truth,
        good,
    })
}

/// The drawn scenario with what the arguments decide.
fn scenario(arguments: &SynthArgs, seed: u64) -> Result<Scenario, CommandError> {
    let choice = arguments.key.choice();
    let mut scenario = Scenario::random_with_key(arguments.fault, seed, &choice)?;
    for setup in std::iter::once(&mut scenario.setup).chain(scenario.reference.as_mut()) {
        let recorder = &mut setup.recorder;
        recorder.sample_rate_hz = arguments.sample_rate.unwrap_or(recorder.sample_rate_hz);
        recorder.bits = arguments.bits.or(recorder.bits);
        recorder.length_s = arguments.length.unwrap_or(recorder.length_s);
    }
    Ok(scenario)
}

/// The smallest WAV format that holds samples of so many bits without loss.
const fn container(bits: Option<u32>) -> WavSample {
    match bits {
        Some(..=8) => WavSample::Int8,
        Some(9..=16) => WavSample::Int16,
        Some(_) => WavSample::Int24,
        None => WavSample::Float32,
    }
}

fn write_capture(
    path: PathBuf,
    capture: &Capture,
    sample: WavSample,
) -> Result<PathBuf, CommandError> {
    write_wav(place(&path, Existing::Replace)?, capture, sample)?;
    Ok(path)
}

fn write_truth(path: PathBuf, truth: &Truth) -> Result<PathBuf, CommandError> {
    let refused = |source| CommandError::Write {
        path: path.clone(),
        source,
    };
    let text = serde_json::to_string_pretty(truth).map_err(|error| refused(error.into()))?;
    let place = place(&path, Existing::Replace)?;
    fs::write(place, text + "\n").map_err(refused)?;
    Ok(path)
}

fn list(written: &[Written]) -> String {
    let paths = |files: &Written| -> Vec<String> {
        let all: [Option<&Path>; 3] = [
            Some(&files.capture),
            files.good.as_deref(),
            Some(&files.truth),
        ];
        all.into_iter()
            .flatten()
            .map(|path| format!("{}\n", path.display()))
            .collect()
    };
    written.iter().flat_map(paths).collect()
}
