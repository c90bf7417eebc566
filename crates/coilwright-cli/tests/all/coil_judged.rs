//! What of a standard was used, what was not, and how a verdict reads.

use std::fmt::Write as _;

use num_complex::Complex64;
use serde_json::Value;

use crate::coil::{number, table, valid};
use crate::{Run, coilwright, repository};

fn fit(path: &str, more: &[&str]) -> Run {
    coilwright(&[&["coil", "fit", path], more].concat())
}

fn said(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn verdict(run: &Run) -> Value {
    valid(run);
    let sheet: Value = serde_json::from_str(&run.data).unwrap();
    sheet["verdict"].clone()
}

#[test]
fn a_limit_on_the_q_of_an_untuned_coil_is_used() {
    let folder = tempfile::tempdir().unwrap();
    // Q at 118 kHz about 1.9.
    let lossy = table(folder.path(), "lossy.csv", 1.62e-3, 640.0);
    let limits = [
        "--limit",
        "q=15..",
        "--limit",
        "inductance_henry=1e-3..2e-3",
    ];
    let run = fit(&lossy, &[&limits[..], &["--json"]].concat());
    let verdict = self::verdict(&run);
    assert_ne!(verdict["condition"], "sound");
    assert_ne!(run.code, 0);
    let findings = verdict["findings"].as_array().unwrap();
    let q = findings.iter().find(|f| f["number"] == "q").unwrap();
    assert_eq!(q["side"], "below");
    let fair = table(folder.path(), "fair.csv", 1.62e-3, 40.0);
    let run = fit(&fair, &[&limits[..], &["--json"]].concat());
    assert_eq!(self::verdict(&run)["likely"][0]["condition"], "sound");
    let run = fit(&fair, &limits);
    assert!(said(&run.data).contains("is at least 15"), "{}", run.data);
    let run = fit(&fair, &["--limit", "q=..50"]);
    assert!(said(&run.data).contains("is at most 50"), "{}", run.data);
    let run = fit(&fair, &["--limit", "q=..20"]);
    assert!(said(&run.data).contains("is above 20"), "{}", run.data);
    assert_ne!(run.code, 0);
}

#[test]
fn what_of_a_standard_was_not_measured_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let coil = table(folder.path(), "coil.csv", 1.62e-3, 40.0);
    let resonance = ["--limit", "resonance_hz=120e3..130e3"];
    let inductance = ["--limit", "inductance_henry=1e-3..2e-3"];
    let quality = ["--limit", "q=15.."];
    let run = fit(&coil, &[resonance, inductance, quality].concat());
    assert_eq!(run.code, 0, "{}", run.data);
    assert!(
        said(&run.data).contains("Not judged, since it was not measured here: resonance."),
        "{}",
        run.data
    );
    let both = [
        &["coil", "compare", &coil, &coil],
        &resonance[..],
        &inductance,
    ]
    .concat();
    let compared = coilwright(&both);
    assert_eq!(
        said(&compared.data)
            .matches("Not judged, since it was not measured here: resonance.")
            .count(),
        2
    );
    let run = fit(
        &coil,
        &[&inductance[..], &["--limit", "direct_ohm=9..11"]].concat(),
    );
    assert!(said(&run.data).contains("--ohms"), "{}", run.data);
    let run = fit(&coil, &inductance);
    assert!(!run.data.contains("Not judged"), "{}", run.data);
}

#[test]
fn nothing_measured_is_no_verdict() {
    let folder = tempfile::tempdir().unwrap();
    let coil = table(folder.path(), "coil.csv", 1.62e-3, 40.0);
    let run = fit(&coil, &["--limit", "resonance_hz=120e3..130e3", "--json"]);
    assert_eq!((verdict(&run), run.code), (Value::Null, 3));
    assert!(
        run.data
            .contains("Nothing of this file can be held against")
    );
    // The same of a driven ring that tells nothing, and of a standard that has no number.
    let path = |name: &str| repository(name).to_str().unwrap().to_owned();
    let open = path("testdata/sandpiper/open-ring.wav");
    let good = path("testdata/sandpiper/healthy.wav");
    let run = fit(&open, &["--against", &good, "--json"]);
    assert_eq!((verdict(&run), run.code), (Value::Null, 3));
    let run = fit(&good, &["--against", &open]);
    assert_eq!(run.code, 2);
    assert!(
        said(&run.messages).contains("found no number of a coil"),
        "{}",
        run.messages
    );
}

#[test]
fn a_sweep_over_the_sound_resonance_in_which_no_coil_is_left() {
    let folder = tempfile::tempdir().unwrap();
    let ring = repository("testdata/touchstone/ring_ri.s1p");
    // 20 pF in 50 Ω: S = (1 − jωCR)/(1 + jωCR).
    let mut text = String::from("# Hz S RI R 50\n");
    for n in 0..41 {
        let f = 100e3 + 1250.0 * f64::from(n);
        let x = std::f64::consts::TAU * f * 20e-12 * 50.0;
        let (re, im) = ((1.0 - x * x) / (1.0 + x * x), -2.0 * x / (1.0 + x * x));
        writeln!(text, "{f} {re} {im}").unwrap();
    }
    let open = folder.path().join("open.s1p");
    std::fs::write(&open, text).unwrap();
    let against = ["--against", ring.to_str().unwrap(), "--json"];
    let run = fit(open.to_str().unwrap(), &against);
    assert_eq!(verdict(&run)["condition"], "open", "{}", run.data);
    assert!(run.data.contains("no_ring"), "{}", run.data);
}

/// Writes the reflection of an impedance in 50 Ω, 100 to 150 kHz, with an analyser's scatter, without chance.
fn reflection(folder: &std::path::Path, name: &str, henry: f64, ohm: f64) -> String {
    let mut text = String::from("# Hz S RI R 50\n");
    for n in 0..101 {
        let f = 100e3 + 500.0 * f64::from(n);
        let z = Complex64::new(ohm, std::f64::consts::TAU * f * henry);
        let wobble = 1.0 + 2e-5 * (f64::from(n) * 2.4).sin();
        let s = (z - 50.0) / (z + 50.0) * wobble;
        writeln!(text, "{f} {} {}", s.re, s.im).unwrap();
    }
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn a_short_and_a_coil_without_a_q_are_answers_too() {
    let folder = tempfile::tempdir().unwrap();
    // 1.62 mH and 20 Ω: Q 64, which a reflection cannot tell.
    let coil = reflection(folder.path(), "coil.s1p", 1.62e-3, 20.0);
    let run = fit(&coil, &["--json"]);
    assert_eq!(run.code, 0, "{}", run.messages);
    valid(&run);
    assert!((number(&run, "inductance_henry") / 1.62e-3 - 1.0).abs() < 1e-2);
    assert!(run.data.contains("cannot give its Q"), "{}", run.data);
    let short = reflection(folder.path(), "short.s1p", 50e-9, 0.05);
    let run = fit(&short, &["--against", &coil, "--json"]);
    assert_eq!(verdict(&run)["condition"], "shorted", "{}", run.data);
    assert_eq!(run.code, 1);
}

#[test]
fn an_ohmmeter_needs_no_file() {
    let bare = |more: &[&str]| coilwright(&[&["coil", "fit"], more].concat());
    let run = bare(&["--ohms", "0.2", "--good-ohms", "9.5", "--json"]);
    assert_eq!(
        (verdict(&run)["condition"].as_str(), run.code),
        (Some("shorted"), 1)
    );
    for word in ["OL", "inf", "open"] {
        let run = bare(&["--ohms", word]);
        assert_eq!(run.code, 1, "{}", run.messages);
        assert!(run.data.contains("Found: the coil is open"), "{}", run.data);
    }
    // 9.7 Ω with leads of 0.2 Ω at 45 °C: 9.5/(1 + 0.00393 · 25) Ω.
    let more = ["--leads", "0.2", "--temperature", "45", "--json"];
    let run = bare(&[&["--ohms", "9.7"], &more[..]].concat());
    assert!((number(&run, "direct_ohm") - 9.5 / 1.098_25).abs() < 1e-9);
    assert_eq!((verdict(&run), run.code), (Value::Null, 3));
    let more = [
        "--good-ohms",
        "9.7",
        "--leads",
        "0.2",
        "--temperature",
        "45",
    ];
    let run = bare(&[&["--ohms", "9.7"], &more[..]].concat());
    assert!(
        said(&run.data).contains("direct-current resistance 8.65"),
        "{}",
        run.data
    );
    let run = bare(&["--ohms", "9.4", "--limit", "direct_ohm=9..10"]);
    assert!(
        said(&run.data).contains("within 9 Ω to 10 Ω"),
        "{}",
        run.data
    );

    let folder = tempfile::tempdir().unwrap();
    let coil = table(folder.path(), "coil.csv", 1.62e-3, 40.0);
    let run = fit(&coil, &["--ohms", "open", "--good-ohms", "9.5"]);
    assert!(run.data.contains("Found: the coil is open"), "{}", run.data);
    for (more, words) in [
        (&["--good-ohms", "9.5"][..], "--ohms"),
        (&["--ohms", "9.5", "--good-ohms", "0.04"], "four wires"),
        (&["--leads", "0.2"], "--ohms"),
        (&["--ohms", "nine"], "such as 9.4"),
    ] {
        let run = bare(more);
        assert_eq!(run.code, 2, "{}", run.data);
        assert!(said(&run.messages).contains(words), "{}", run.messages);
    }
    assert_eq!(bare(&[]).code, 2);
}

#[test]
fn a_deviation_says_what_would_confirm_it() {
    let folder = tempfile::tempdir().unwrap();
    let coil = table(folder.path(), "coil.csv", 1.62e-3, 40.0);
    let run = fit(&coil, &["--limit", "inductance_henry=1.8e-3..2e-3"]);
    let why = run.data.split("\nWhy\n").nth(1).unwrap();
    assert!(
        said(why).contains("To confirm: Measure away from metal"),
        "{}",
        run.data
    );
    let run = fit(&coil, &["--limit", "inductance_henry=1.5e-3..1.8e-3"]);
    let why = run.data.split("\nWhy\n").nth(1).unwrap();
    assert!(!why.contains("To confirm"), "{}", run.data);
}

#[test]
fn tolerances_and_examples_of_the_right_option() {
    let folder = tempfile::tempdir().unwrap();
    let coil = table(folder.path(), "coil.csv", 1.62e-3, 40.0);
    let nominal = |text: &str| fit(&coil, &["--nominal", text]);
    assert_eq!(nominal("inductance_henry=1.62e-3:5%").code, 0);
    let run = nominal("inductance_henry=1.62e-3:5");
    assert_eq!(run.code, 2);
    assert!(
        said(&run.messages).contains("5 is 500 %: write 5 % as 0.05 or 5%"),
        "{}",
        run.messages
    );
    let run = nominal("125000");
    assert!(
        said(&run.messages).contains("such as inductance_henry=1.62e-3:0.02"),
        "{}",
        run.messages
    );
}

#[test]
fn numbers_without_bounds_are_said_and_never_null() {
    let folder = tempfile::tempdir().unwrap();
    let lossless = table(folder.path(), "lossless.csv", 1.62e-3, 0.0);
    let run = fit(&lossless, &["--json"]);
    assert_eq!(run.code, 0, "{}", run.messages);
    valid(&run);
    let text = fit(&lossless, &[]).data;
    assert!(!text.contains("inf"), "{text}");
    assert!(text.contains("No Q of the coil"), "{text}");
}

#[test]
fn text_without_a_named_frequency_says_what_it_was_taken_for() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bare.csv");
    let rows: Vec<String> = (0..41)
        .map(|n| format!("{},{:.4}", 100_000 + 250 * n, 0.07 + 1e-3 * f64::from(n)))
        .collect();
    std::fs::write(&path, rows.join("\n")).unwrap();
    let run = fit(path.to_str().unwrap(), &[]);
    assert_eq!(run.code, 3, "{}", run.messages);
    assert!(
        said(&run.data).contains("write `Freq (Hz),R (Ohm),X (Ohm)` over it"),
        "{}",
        run.data
    );
}
