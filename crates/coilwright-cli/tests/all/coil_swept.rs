//! Sweeps over frequency, with and without phases, from files and from standard input.

use std::f64::consts::TAU;
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use num_complex::Complex64;
use serde_json::Value;

use crate::coil::{number, table, valid};
use crate::{Run, coilwright};

/// Columns of a sweep's table.
#[derive(Clone, Copy)]
enum Columns {
    Gain,
    GainAndPhase,
    Parts,
}

/// What a pickup shows of a ring of 125 kHz over a steady leak: `f I + b`, with a scatter that is none of chance.
fn pickup(q: f64, leak: Complex64) -> Vec<(f64, Complex64)> {
    (0..81)
        .map(|n| {
            let f = 105e3 + 500.0 * f64::from(n);
            let current = Complex64::new(1.0, q * (f / 125e3 - 125e3 / f)).inv();
            let angle = f64::from(n) * 2.4;
            let scatter = 2e-4 * Complex64::new(angle.sin(), (1.7 * angle).cos());
            (f, f / 125e3 * current + leak + scatter)
        })
        .collect()
}

fn text(points: &[(f64, Complex64)], columns: Columns) -> String {
    let mut text = String::from(match columns {
        Columns::Gain => "Freq (Hz),Gain (dB)\n",
        Columns::GainAndPhase => "Freq (Hz),Gain (dB),Phase (deg)\n",
        Columns::Parts => "Freq (Hz),Re(H),Im(H)\n",
    });
    for (f, h) in points {
        let (gain, phase) = (20.0 * h.norm().log10(), h.arg().to_degrees());
        match columns {
            Columns::Gain => writeln!(text, "{f},{gain}"),
            Columns::GainAndPhase => writeln!(text, "{f},{gain},{phase}"),
            Columns::Parts => writeln!(text, "{f},{},{}", h.re, h.im),
        }
        .unwrap();
    }
    text
}

fn file(folder: &Path, name: &str, text: &str) -> String {
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

fn deviation(run: &Run, key: &str) -> f64 {
    let sheet: Value = serde_json::from_str(&run.data).unwrap();
    let numbers = sheet["numbers"].as_array().unwrap();
    let entry = numbers.iter().find(|entry| entry["key"] == key).unwrap();
    entry["std_dev"].as_f64().unwrap()
}

#[test]
fn gain_and_phase_are_fitted_together() {
    let folder = tempfile::tempdir().unwrap();
    let points = pickup(9.0, Complex64::new(0.3, -0.2));
    for columns in [Columns::GainAndPhase, Columns::Parts] {
        let path = file(folder.path(), "pickup.csv", &text(&points, columns));
        let fit = ["coil", "fit", &path, "--quantity", "coil-voltage", "--json"];
        let run = coilwright(&fit);
        valid(&run);
        let sheet: Value = serde_json::from_str(&run.data).unwrap();
        assert_eq!(sheet["kind"], "response");
        let off = (number(&run, "resonance_hz") - 125e3).abs();
        assert!(
            off < 4.0 * deviation(&run, "resonance_hz") && off < 5.0,
            "{off}"
        );
        assert!((number(&run, "q") / 9.0 - 1.0).abs() < 1e-3, "{}", run.data);
        // f_d = f₀ √(1 − 1/4Q²)
        let damped = number(&run, "resonance_hz") * (1.0 - 0.25 / 81.0_f64).sqrt();
        assert!((number(&run, "damped_hz") / damped - 1.0).abs() < 1e-5);
    }
}

/// Any power of frequency on the curve is a background and an interference, which are fitted; to know it makes the result surer.
#[test]
fn to_know_what_was_measured_makes_it_surer() {
    let folder = tempfile::tempdir().unwrap();
    let points = pickup(9.0, Complex64::ZERO);
    let path = file(folder.path(), "pickup.csv", &text(&points, Columns::Gain));
    let of = |quantity| {
        let run = coilwright(&["coil", "fit", &path, "--json", "--quantity", quantity]);
        let off = (number(&run, "resonance_hz") - 125e3).abs();
        (off, deviation(&run, "resonance_hz"))
    };
    let (right, wrong, unsaid) = (of("coil-voltage"), of("capacitor-voltage"), of("current"));
    for (off, deviation) in [right, wrong, unsaid] {
        assert!(off < 4.0 * deviation, "{off} {deviation}");
    }
    assert!(right.1 < wrong.1 && right.1 < unsaid.1);
}

#[test]
fn a_sweep_in_which_nothing_resonates_is_an_answer() {
    let folder = tempfile::tempdir().unwrap();
    let good = pickup(20.0, Complex64::ZERO);
    let leak: Vec<(f64, Complex64)> = good
        .iter()
        .enumerate()
        .map(|(n, (f, _))| {
            let angle = 2.4 * n as f64;
            let scatter = 2e-3 * Complex64::new(angle.sin(), (1.7 * angle).cos());
            (*f, Complex64::new(0.02, 0.01) + scatter)
        })
        .collect();
    for columns in [Columns::Gain, Columns::GainAndPhase] {
        let good = file(folder.path(), "good.csv", &text(&good, columns));
        let dead = file(folder.path(), "dead.csv", &text(&leak, columns));
        let run = coilwright(&["coil", "fit", &dead]);
        assert_eq!(run.code, 3, "{}{}", run.data, run.messages);
        assert!(run.data.contains("No resonance stands out"), "{}", run.data);
        let run = coilwright(&["coil", "fit", &dead, "--against", &good, "--json"]);
        valid(&run);
        let sheet: Value = serde_json::from_str(&run.data).unwrap();
        let likely = sheet["verdict"]["likely"].as_array().unwrap();
        let of = |name: &str| {
            let one = likely.iter().find(|one| one["condition"] == name).unwrap();
            one["probability"].as_f64().unwrap()
        };
        assert!(of("sound") < 0.03 && of("open") > 0.2, "{}", run.data);
        assert_eq!(sheet["verdict"]["findings"][0]["kind"], "no_ring");
        // A limit speaks of it only where the sweep covers all of it.
        let within = coilwright(&["coil", "fit", &dead, "--limit", "resonance_hz=120e3..130e3"]);
        assert!(
            within.data.contains("A circuit rings when"),
            "{}",
            within.data
        );
        let beyond = coilwright(&["coil", "fit", &dead, "--limit", "resonance_hz=120e3.."]);
        assert_eq!(beyond.code, 3);
        assert!(
            !beyond.data.contains("A circuit rings when"),
            "{}",
            beyond.data
        );
    }
}

fn piped(arguments: &[&str], pieces: &[&[u8]]) -> Run {
    let mut child = Command::new(env!("CARGO_BIN_EXE_coilwright"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    for piece in pieces {
        input.write_all(piece).unwrap();
        input.flush().unwrap();
    }
    drop(input);
    let output = child.wait_with_output().unwrap();
    Run {
        code: u8::try_from(output.status.code().unwrap()).unwrap(),
        data: String::from_utf8(output.stdout).unwrap(),
        messages: String::from_utf8(output.stderr).unwrap(),
    }
}

#[test]
fn standard_input_is_known_by_its_content() {
    let folder = tempfile::tempdir().unwrap();
    let points = pickup(20.0, Complex64::new(0.1, 0.0));
    let sweep = text(&points, Columns::GainAndPhase);
    let impedances = std::fs::read(table(folder.path(), "coil.csv", 1.0e-3, 12.0)).unwrap();
    let ring = std::fs::read(crate::repository("testdata/touchstone/ring_ri.s1p")).unwrap();
    let tapped = std::fs::read(crate::repository("testdata/sandpiper/ring-down.wav")).unwrap();
    for (bytes, kind) in [
        (sweep.as_bytes(), "response"),
        (&impedances, "impedance"),
        (&ring, "reflection"),
        (&tapped, "ring_down"),
    ] {
        // In pieces, as a slow program writes.
        let pieces: Vec<&[u8]> = bytes.chunks(bytes.len().div_ceil(7)).collect();
        let run = piped(&["coil", "fit", "-", "--json"], &pieces);
        assert_eq!(run.code, 0, "{kind}: {}", run.messages);
        let sheet: Value = serde_json::from_str(&run.data).unwrap();
        assert_eq!(sheet["kind"], kind);
        assert_eq!(sheet["subject"], "-");
    }
    let run = piped(&["coil", "fit", "-"], &[]);
    assert_eq!(run.code, 2);
    assert!(run.messages.contains("-: "), "{}", run.messages);
}

#[test]
fn a_meter_at_one_frequency_needs_its_accuracy() {
    let folder = tempfile::tempdir().unwrap();
    let spot = |name, henry: f64, q: f64| {
        let text = format!("f (kHz),Ls (uH),Q\n100,{},{q}\n", 1e6 * henry);
        file(folder.path(), name, &text)
    };
    let good = spot("good.csv", 1.0e-3, 60.0);
    let run = coilwright(&["coil", "fit", &good]);
    assert_eq!(run.code, 2);
    insta::assert_snapshot!(run.messages.replace(&good, "good.csv"));
    let known = ["coil", "fit", &good, "--accuracy", "0.3%", "--json"];
    let run = coilwright(&known);
    valid(&run);
    assert!((number(&run, "inductance_henry") / 1e-3 - 1.0).abs() < 1e-9);
    // 0.3 % of |Z| evenly: 0.3 %/√3 in L, and so many ohm in R.
    let part = 0.003 / 3.0_f64.sqrt();
    let magnitude = TAU * 100e3 * 1e-3 * (1.0 + 60.0_f64.powi(-2)).sqrt();
    assert!(
        (deviation(&run, "inductance_henry") / (part * magnitude / (TAU * 100e3)) - 1.0).abs()
            < 1e-6
    );
    assert!((deviation(&run, "resistance_ohm") / (part * magnitude) - 1.0).abs() < 1e-6);
    // Two of twenty turns bridged: less inductance, more resistance.
    let bad = spot("bad.csv", 0.78e-3, 7.0);
    let judged = [
        "coil",
        "fit",
        &bad,
        "--against",
        &good,
        "--accuracy",
        "0.3%",
    ];
    let run = coilwright(&judged);
    assert_eq!(run.code, 1, "{}", run.data);
    assert!(
        run.data.contains("turns of the coil are shorted"),
        "{}",
        run.data
    );
}

#[test]
fn options_without_effect_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let points = pickup(20.0, Complex64::ZERO);
    let sweep = file(folder.path(), "sweep.csv", &text(&points, Columns::Gain));
    let coil = table(folder.path(), "coil.csv", 1.0e-3, 12.0);
    for (path, options, idle) in [
        (
            &sweep,
            &["--at", "125e3", "--channel", "1"][..],
            Some("--at, --channel"),
        ),
        (&sweep, &["--quantity", "current"], None),
        (&coil, &["--at", "125e3", "--near", "67e3"], Some("--near")),
        (&coil, &["--at", "125e3"], None),
    ] {
        let run = coilwright(&[&["coil", "fit", path], options].concat());
        assert_eq!(run.code, 0, "{}", run.messages);
        let said = run.data.replace("\n    ", " ");
        let found = said
            .lines()
            .find_map(|line| line.split_once("Without effect on this measurement: "));
        let named = idle.map(|idle| format!("{idle}."));
        assert_eq!(
            found.map(|(_, names)| names.to_owned()),
            named,
            "{}",
            run.data
        );
    }
}
