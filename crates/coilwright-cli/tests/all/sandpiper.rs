use std::fmt::Write as _;

use serde_json::Value;

use crate::{Run, coilwright};

/// The demonstration captures, as the tests' working folder sees them.
const FOLDER: &str = "../../testdata/sandpiper";
/// Digits of floating-point numbers that are the same on every machine.
const DIGITS: usize = 3;

fn run(command: &str, name: &str, extra: &[&str]) -> Run {
    let path = format!("{FOLDER}/{name}.wav");
    let run = coilwright(&[&[command, &path], extra].concat());
    assert_eq!(run.messages, "");
    let wide: Vec<&str> = run
        .data
        .lines()
        .filter(|line| line.chars().count() > 80)
        .collect();
    assert!(extra.contains(&"--json") || wide.is_empty(), "{wide:#?}");
    run
}

/// The JSON with numbers rounded, so that the last bits of a fit do not matter.
fn rounded(text: &str) -> String {
    let mut value: Value = serde_json::from_str(text).unwrap();
    round(&mut value);
    serde_json::to_string_pretty(&value).unwrap()
}

fn round(value: &mut Value) {
    match value {
        Value::Object(members) => members.values_mut().for_each(round),
        Value::Array(items) => items.iter_mut().for_each(round),
        Value::Number(number) if number.is_f64() => {
            let digits: f64 = format!("{:.*e}", DIGITS - 1, number.as_f64().unwrap())
                .parse()
                .unwrap();
            *value = Value::from(digits);
        }
        _ => {}
    }
}

#[test]
fn the_healthy_lock() {
    let run = run("check", "healthy", &[]);
    assert_eq!(run.code, 0);
    insta::assert_snapshot!(run.data);
}

#[test]
fn exit_zero_covers_faults_and_not_refusals() {
    assert_eq!(run("check", "silent-key", &["--exit-zero"]).code, 0);
    assert_eq!(run("decode", "silent-key", &["--exit-zero"]).code, 0);
    assert_eq!(coilwright(&["check", "missing.wav", "--exit-zero"]).code, 2);
}

#[test]
fn the_open_ring() {
    let run = run("check", "open-ring", &[]);
    assert_eq!(run.code, 1);
    insta::assert_snapshot!(run.data);
}

#[test]
fn the_metal_collar_against_the_healthy_lock() {
    let good = format!("{FOLDER}/healthy.wav");
    let run = run("check", "metal-collar", &["--against", &good]);
    assert_eq!(run.code, 1);
    insta::assert_snapshot!(run.data);
}

#[test]
fn the_ring_down() {
    let run = run("check", "ring-down", &["--nominal", "125000"]);
    assert_eq!(run.code, 0);
    insta::assert_snapshot!(run.data);
}

/// Scopes export text: the same pings as volts over time must give the same ring.
#[test]
fn a_ring_down_as_text_of_a_scope_is_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("ring-down.csv");
    let mut reader = hound::WavReader::open(format!("{FOLDER}/ring-down.wav")).unwrap();
    let mut text = String::from("time,volts\ns,V\n");
    for (n, sample) in reader.samples::<i16>().take(5000).enumerate() {
        let volts = 0.5 * f64::from(sample.unwrap()) / 32768.0;
        writeln!(text, "{:.6},{volts:.7}", n as f64 * 1e-6).unwrap();
    }
    std::fs::write(&path, text).unwrap();
    let json = |path: &str| -> Value {
        serde_json::from_str(&coilwright(&["check", path, "--json"]).data).unwrap()
    };
    let scope = json(path.to_str().unwrap());
    let wave = json(&format!("{FOLDER}/ring-down.wav"));
    assert_eq!(scope["signal"]["kind"], "ring_down");
    // The second tap is at 4.75 ms.
    assert_eq!(scope["ring"]["ring_down"]["ping_count"], 2);
    let value = |check: &Value, name: &str| check["ring"][name]["value"].as_f64().unwrap();
    let error = |check: &Value, name: &str| check["ring"][name]["std_dev"].as_f64().unwrap();
    for name in ["resonance_hz", "q"] {
        let apart = (value(&scope, name) - value(&wave, name)).abs();
        assert!(apart < 5.0 * error(&scope, name), "{name}: {apart}");
    }
}

#[test]
fn the_silent_key() {
    let run = run("check", "silent-key", &[]);
    assert_eq!(run.code, 1);
    insta::assert_snapshot!(run.data);
}

#[test]
fn the_keys_of_the_healthy_lock_and_of_the_silent_one() {
    let healthy = run("decode", "healthy", &[]);
    assert_eq!(healthy.code, 0);
    insta::assert_snapshot!(healthy.data);
    let silent = run("decode", "silent-key", &[]);
    assert_eq!(silent.code, 3);
    assert!(silent.data.starts_with("No key was decoded."));
}

#[test]
fn the_json_of_the_healthy_lock() {
    insta::assert_snapshot!(rounded(&run("check", "healthy", &["--json"]).data));
}

#[test]
fn the_json_of_the_silent_key() {
    insta::assert_snapshot!(rounded(&run("check", "silent-key", &["--json"]).data));
}
