//! The coil laboratory as its user meets it.

use std::f64::consts::TAU;
use std::fmt::Write as _;
use std::path::Path;

use serde_json::Value;

use crate::json::{assert_follows, closed_schema};
use crate::{Run, coilwright, repository};

/// An impedance meter's table of a coil.
pub(crate) fn table(folder: &Path, name: &str, henry: f64, ohm: f64) -> String {
    let mut text = String::from("Frequency (Hz),R (ohm),X (ohm)\n");
    for n in 0..41 {
        let f = 100e3 + 1e3 * f64::from(n);
        // A meter's scatter, without chance.
        let wobble = 1.0 + 2e-4 * (f64::from(n) * 2.4).sin();
        writeln!(text, "{f},{},{}", ohm * wobble, TAU * f * henry * wobble).unwrap();
    }
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

pub(crate) fn number(run: &Run, key: &str) -> f64 {
    let sheet: Value = serde_json::from_str(&run.data).unwrap();
    let numbers = sheet["numbers"].as_array().unwrap();
    numbers.iter().find(|entry| entry["key"] == key).unwrap()["value"]
        .as_f64()
        .unwrap()
}

fn shown(run: &Run, code: u8) -> String {
    assert_eq!(run.code, code, "{}{}", run.data, run.messages);
    for line in run.data.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    run.data.clone()
}

pub(crate) fn valid(run: &Run) {
    assert_follows(
        &closed_schema("coil-1"),
        &serde_json::from_str(&run.data).unwrap(),
    );
}

#[test]
fn a_series_ring_in_a_touchstone_file() {
    // 1.62 mH, 40 Ω, 1.0007 nF: 125 000.19 Hz, Q 31.8087.
    let path = repository("testdata/touchstone/ring_ri.s1p");
    let run = coilwright(&["coil", "fit", path.to_str().unwrap(), "--json"]);
    assert!((number(&run, "resonance_hz") / 125_000.19 - 1.0).abs() < 1e-4);
    assert!((number(&run, "q") / 31.8087 - 1.0).abs() < 1e-3);
    assert!((number(&run, "inductance_henry") / 1.62e-3 - 1.0).abs() < 1e-3);
    valid(&run);
}

#[test]
fn a_ring_down_capture() {
    let path = repository("testdata/sandpiper/ring-down.wav");
    let run = coilwright(&["coil", "fit", path.to_str().unwrap(), "--json"]);
    let f0 = number(&run, "resonance_hz");
    assert!((100e3..160e3).contains(&f0), "{f0}");
    valid(&run);
}

#[test]
fn two_coupled_coils_in_a_touchstone_file() {
    // 700 µH and 2.4 mH, k = 0.02.
    let path = repository("testdata/touchstone/coupled.s2p");
    let run = coilwright(&["coil", "fit", path.to_str().unwrap(), "--json"]);
    assert!((number(&run, "coupling_coefficient").abs() / 0.02 - 1.0).abs() < 1e-3);
    assert!((number(&run, "secondary_henry") / 2.4e-3 - 1.0).abs() < 1e-3);
    valid(&run);
}

#[test]
fn a_driven_lock_with_an_open_ring_tells_nothing_of_a_coil() {
    let path = repository("testdata/sandpiper/open-ring.wav");
    let run = coilwright(&["coil", "fit", path.to_str().unwrap(), "--json"]);
    assert_eq!(run.code, 3);
    assert!(
        run.data.contains("No resonance was measured"),
        "{}",
        run.data
    );
    valid(&run);
}

#[test]
fn metal_round_a_driven_ring_and_what_does_not_compare() {
    let path = |name: &str| repository(name).to_str().unwrap().to_owned();
    let good = path("testdata/sandpiper/healthy.wav");
    let collar = path("testdata/sandpiper/metal-collar.wav");
    let run = coilwright(&["coil", "fit", &collar, "--against", &good, "--json"]);
    let sheet: Value = serde_json::from_str(&run.data).unwrap();
    assert_eq!(sheet["verdict"]["condition"], "metal_near");
    valid(&run);
    let ring = path("testdata/touchstone/ring_ri.s1p");
    let run = coilwright(&["coil", "fit", &ring, "--against", &good]);
    assert_eq!(run.code, 2);
    insta::assert_snapshot!(run.messages.replace(&ring, "ring_ri.s1p"));
}

#[test]
fn shorted_turns_by_an_impedance_meter() {
    let folder = tempfile::tempdir().unwrap();
    let good = table(folder.path(), "good.csv", 1.0e-3, 12.0);
    // As with a few turns bridged: inductance down by a quarter, resistance up ninefold. The numbers are made up.
    let bad = table(folder.path(), "bad.csv", 0.72e-3, 110.0);
    let arguments = [
        "coil",
        "fit",
        &bad,
        "--against",
        &good,
        "--ohms",
        "9.5",
        "--good-ohms",
        "10.0",
        "--turns",
        "100",
    ];
    let text = shown(&coilwright(&arguments), 1);
    insta::assert_snapshot!(text.replace(&bad, "bad.csv"));
    let run = coilwright(&[&arguments[..], &["--json"]].concat());
    valid(&run);
    let sheet: Value = serde_json::from_str(&run.data).unwrap();
    assert_eq!(sheet["verdict"]["condition"], "turns_shorted");
}

#[test]
fn the_same_coil_twice_is_sound() {
    let folder = tempfile::tempdir().unwrap();
    let good = table(folder.path(), "good.csv", 1.0e-3, 12.0);
    let text = shown(&coilwright(&["coil", "fit", &good, "--against", &good]), 0);
    assert!(text.contains("the coil is sound"), "{text}");
    let table = shown(&coilwright(&["coil", "compare", &good, &good]), 0);
    let rows: Vec<&str> = table
        .lines()
        .filter(|line| line.contains("good.csv"))
        .collect();
    assert_eq!(rows.len(), 2, "{table}");
    assert!(
        rows.iter()
            .all(|row| row.contains("61.95") && row.contains("1 mH")),
        "{table}"
    );
    let csv = coilwright(&["coil", "fit", &good, "--csv"]);
    assert!(
        csv.data
            .starts_with("subject,kind,key,value,std_dev,unit\n"),
        "{}",
        csv.data
    );
}

#[test]
fn a_played_and_recorded_chirp() {
    let folder = tempfile::tempdir().unwrap();
    let chirp = folder.path().join("chirp.wav");
    let chirp = chirp.to_str().unwrap();
    let run = coilwright(&[
        "coil",
        "stimulus",
        "--out",
        chirp,
        "--low",
        "30e3",
        "--high",
        "90e3",
        "--sample-rate",
        "384e3",
        "--duration",
        "1",
        "--json",
    ]);
    valid(&run);
    assert!((number(&run, "highest_playable_hz") - 172_800.0).abs() < 1.0);
    let again = coilwright(&[
        "coil", "stimulus", "--out", chirp, "--low", "30e3", "--high", "90e3",
    ]);
    assert_eq!(again.code, 2);

    // A two-pole resonator at 60 kHz, Q 25.
    let mut reader = hound::WavReader::open(chirp).unwrap();
    let specification = hound::WavSpec {
        channels: 2,
        ..reader.spec()
    };
    let both = folder.path().join("both.wav");
    let mut writer = hound::WavWriter::create(&both, specification).unwrap();
    let (theta, decay) = (TAU * 60e3 / 384e3, TAU * 60e3 / (2.0 * 25.0) / 384e3);
    let (a, b) = (2.0 * (-decay).exp() * theta.cos(), (-2.0 * decay).exp());
    let (mut x, mut y) = ([0.0; 2], [0.0; 2]);
    for sample in reader.samples::<i32>() {
        let input = f64::from(sample.unwrap());
        let output = a * y[0] - b * y[1] + 0.02 * (input - x[1]);
        x = [input, x[0]];
        y = [output, y[0]];
        writer.write_sample(input as i32).unwrap();
        writer.write_sample(output as i32).unwrap();
    }
    writer.finalize().unwrap();
    let run = coilwright(&["coil", "fit", both.to_str().unwrap(), "--json"]);
    assert!(
        (number(&run, "resonance_hz") / 60e3 - 1.0).abs() < 0.01,
        "{}",
        run.data
    );
    assert!(
        (number(&run, "q") / 25.0 - 1.0).abs() < 0.05,
        "{}",
        run.data
    );
    valid(&run);
}

#[test]
fn a_card_that_cannot_reach_the_carrier_is_told_so() {
    let run = coilwright(&[
        "coil",
        "stimulus",
        "--out",
        "never.wav",
        "--low",
        "100e3",
        "--high",
        "150e3",
    ]);
    assert_eq!(run.code, 2);
    insta::assert_snapshot!(run.messages);
}

#[test]
fn models_of_every_shape() {
    let multilayer = [
        "coil",
        "model",
        "multilayer",
        "--diameter",
        "35e-3",
        "--turns",
        "100",
        "--layers",
        "5",
        "--wire",
        "0.2e-3",
    ];
    insta::assert_snapshot!(shown(&coilwright(&multilayer), 0));
    let shapes: [&[&str]; 4] = [
        &[
            "solenoid",
            "--diameter",
            "20e-3",
            "--turns",
            "50",
            "--wire",
            "0.3e-3",
        ],
        &["loop", "--diameter", "0.3", "--wire", "1e-3"],
        &[
            "rectangle",
            "--width",
            "0.08",
            "--height",
            "0.05",
            "--wire",
            "0.5e-3",
        ],
        &[
            "spiral", "--inner", "10e-3", "--outer", "40e-3", "--turns", "20",
        ],
    ];
    for shape in shapes {
        let run = coilwright(&[&["coil", "model"], shape, &["--json"]].concat());
        assert_eq!(run.code, 0, "{}", run.messages);
        valid(&run);
        assert!(number(&run, "inductance_henry") > 1e-7);
    }
}

#[test]
fn a_pickup_coil_with_its_cautions() {
    let run = coilwright(&[
        "coil",
        "pickup",
        "--former",
        "20e-3",
        "--length",
        "5e-3",
        "--wire",
        "0.2e-3",
        "--wire-length",
        "10",
    ]);
    insta::assert_snapshot!(shown(&run, 0));
}

#[test]
fn broken_files_are_refused_with_their_place() {
    let folder = tempfile::tempdir().unwrap();
    let broken = folder.path().join("broken.s1p");
    std::fs::write(&broken, "# Hz S RI R 50\n100000 0.5 0.1\n110000 zero 0.1\n").unwrap();
    let run = coilwright(&["coil", "fit", broken.to_str().unwrap()]);
    assert_eq!(run.code, 2);
    insta::assert_snapshot!(run.messages.replace(broken.to_str().unwrap(), "broken.s1p"));
    assert_eq!(coilwright(&["coil", "fit", "missing.s1p"]).code, 2);
}

const ROOM: [&str; 12] = [
    "coil",
    "design",
    "--former",
    "32e-3",
    "--outer",
    "42e-3",
    "--length",
    "10e-3",
    "--inductance",
    "700e-6",
    "--wire",
    "0.125e-3,0.2e-3",
];

/// Every sheet of a list, each by the schema.
fn sheets(run: &Run) -> Vec<Value> {
    let list: Value = serde_json::from_str(&run.data).unwrap();
    let list = list.as_array().unwrap().clone();
    for sheet in &list {
        assert_follows(&closed_schema("coil-1"), sheet);
    }
    list
}

fn of(sheet: &Value, key: &str) -> f64 {
    let numbers = sheet["numbers"].as_array().unwrap();
    let entry = numbers.iter().find(|entry| entry["key"] == key).unwrap();
    entry["value"].as_f64().unwrap()
}

#[test]
fn designs_that_meet_an_aim() {
    let aim = ["--least-q", "30", "--most-q", "60", "--distance", "12e-3"];
    let arguments = [&ROOM[..], &aim].concat();
    insta::assert_snapshot!(shown(&coilwright(&arguments), 0));
    let front = sheets(&coilwright(&[&arguments[..], &["--json"]].concat()));
    let all = sheets(&coilwright(
        &[&arguments[..], &["--json", "--all"]].concat(),
    ));
    assert!(all.len() > front.len() && !front.is_empty());
    for sheet in &all {
        assert!((of(sheet, "inductance_henry") / 700e-6 - 1.0).abs() <= 0.03);
        assert!((30.0..=60.0).contains(&of(sheet, "q")));
        assert!(of(sheet, "coupling_coefficient") > 0.0);
    }
    let better = |one: &Value, other: &Value| {
        let score = |s: &Value| {
            let wire = of(s, "wire_m");
            let copper = of(s, "wire_length_m") * wire * wire;
            [of(s, "coupling_coefficient"), of(s, "q"), -copper]
        };
        let pairs = score(one).into_iter().zip(score(other));
        pairs.clone().all(|(a, b)| a >= b) && pairs.clone().any(|(a, b)| a > b)
    };
    for sheet in &front {
        assert!(!all.iter().any(|other| better(other, sheet)), "{sheet}");
    }
    let csv = coilwright(&[&arguments[..], &["--csv"]].concat());
    assert_eq!(
        csv.data
            .lines()
            .filter(|l| l.contains(",design,q,"))
            .count(),
        front.len()
    );
    let none = coilwright(&[&ROOM[..], &["--least-q", "500"]].concat());
    assert_eq!(none.code, 2);
    insta::assert_snapshot!(none.messages);
}

/// A sweep over a ring of 125 kHz and Q 25, with a meter's scatter, without chance.
fn sweep(folder: &Path, name: &str, resonance_hz: f64) -> String {
    let mut text = String::from("Frequency (kHz),Amplitude (mV),Remark\n");
    for n in 0..81 {
        let f = 115e3 + 250.0 * f64::from(n);
        let t = f / resonance_hz - resonance_hz / f;
        let amplitude = 700.0 / (1.0 + (25.0 * t).powi(2)).sqrt();
        let wobble = 1.0 + 2e-3 * (f64::from(n) * 2.4).sin();
        writeln!(text, "{},{},{n}", 1e-3 * f, amplitude * wobble).unwrap();
    }
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn an_amplitude_sweep_is_known_by_its_columns() {
    let folder = tempfile::tempdir().unwrap();
    let path = sweep(folder.path(), "sweep.csv", 125e3);
    let run = coilwright(&["coil", "fit", &path, "--json"]);
    valid(&run);
    assert!((number(&run, "resonance_hz") / 125e3 - 1.0).abs() < 1e-4);
    assert!((number(&run, "q") / 25.0 - 1.0).abs() < 5e-3);
    let sheet: Value = serde_json::from_str(&run.data).unwrap();
    assert_eq!(sheet["kind"], "sweep");
    let unnamed = folder.path().join("unnamed.csv");
    std::fs::write(&unnamed, "Frequency (Hz),Colour\n100,3\n110,4\n").unwrap();
    let run = coilwright(&["coil", "fit", unnamed.to_str().unwrap()]);
    assert_eq!(run.code, 2);
    insta::assert_snapshot!(
        run.messages
            .replace(unnamed.to_str().unwrap(), "unnamed.csv")
    );
}

#[test]
fn limits_and_designs_are_standards_too() {
    let folder = tempfile::tempdir().unwrap();
    let good = sweep(folder.path(), "good.csv", 125e3);
    let far = sweep(folder.path(), "far.csv", 121e3);
    let limits = ["--limit", "resonance_hz=123e3..127e3", "--limit", "q=15.."];
    let fit = |path: &str, more: &[&str]| coilwright(&[&["coil", "fit", path], more].concat());
    let text = shown(&fit(&good, &limits), 0);
    assert!(text.contains("the coil is sound"), "{text}");
    let out = fit(&far, &limits);
    assert_ne!(out.code, 0, "{}", out.data);
    assert!(
        out.data.contains("below 123 kHz to 127 kHz"),
        "{}",
        out.data
    );
    let json = fit(&good, &[&limits[..], &["--json"]].concat());
    valid(&json);
    assert!(json.data.contains("\"high\": null"), "{}", json.data);

    let coil = table(folder.path(), "coil.csv", 1.0e-3, 12.0);
    let design = [
        "--nominal",
        "inductance_henry=1e-3:0.02",
        "--nominal",
        "resistance_ohm=12:0.1",
    ];
    assert!(shown(&fit(&coil, &design), 0).contains("the coil is sound"));
    let bad = table(folder.path(), "bad.csv", 0.72e-3, 110.0);
    let compared = coilwright(&[&["coil", "compare", &coil, &bad], &design[..]].concat());
    let text = shown(&compared, 1);
    assert!(
        text.contains("    the coil is sound (")
            && text.contains("    turns of the coil are shorted ("),
        "{text}"
    );
    for (more, words) in [
        (&["--limit", "colour=1..2"][..], "no such number"),
        (&["--limit", "q=30..15"], "the lower limit is needed first"),
        (&["--nominal", "q=15:0.1"], "found q"),
        (
            &["--nominal", "resistance_ohm=15:0.1"],
            "found no inductance_henry",
        ),
        (&["--ohms", "9.4"], "--ohms"),
        (
            &["--limit", "q=15..", "--against", &good],
            "cannot be used with",
        ),
    ] {
        let run = fit(&coil, more);
        assert_eq!(run.code, 2, "{}", run.data);
        assert!(run.messages.contains(words), "{words}: {}", run.messages);
    }
}

#[test]
fn several_files_are_a_list_whichever_can_be_read() {
    let folder = tempfile::tempdir().unwrap();
    let good = table(folder.path(), "good.csv", 1.0e-3, 12.0);
    let both = coilwright(&["coil", "fit", &good, &good, "--json"]);
    assert_eq!(sheets(&both).len(), 2);
    let one = coilwright(&["coil", "fit", &good, "missing.s1p", "--json"]);
    assert_eq!((sheets(&one).len(), one.code), (1, 2));
    let compared = coilwright(&["coil", "compare", &good, "missing.s1p", "--json"]);
    assert_eq!(sheets(&compared).len(), 1);
}

#[test]
fn an_open_coil_has_no_numbers_and_an_ohmmeter_says_why() {
    let folder = tempfile::tempdir().unwrap();
    let mut text = String::from("Frequency (Hz),R (ohm),X (ohm)\n");
    for n in 0..41 {
        let f = 100e3 + 1e3 * f64::from(n);
        let wobble = 1.0 + 2e-4 * (f64::from(n) * 2.4).sin();
        // Leads of 12 pF.
        writeln!(
            text,
            "{f},{},{}",
            700.0 * wobble,
            -wobble / (TAU * f * 12e-12)
        )
        .unwrap();
    }
    let path = folder.path().join("open.csv");
    std::fs::write(&path, text).unwrap();
    let open = path.to_str().unwrap();
    let run = coilwright(&["coil", "fit", open, "--json"]);
    assert_eq!(run.code, 3, "{}", run.messages);
    valid(&run);
    let sheet: Value = serde_json::from_str(&run.data).unwrap();
    assert_eq!(sheet["numbers"], serde_json::json!([]));
    let note = sheet["notes"][0].as_str().unwrap();
    assert!(
        note.contains("as an open coil or a bare cable has"),
        "{note}"
    );
    let good = table(folder.path(), "good.csv", 1.0e-3, 12.0);
    let mut reflection = String::from("# Hz S RI R 50\n");
    for n in 0..41 {
        let f = 100e3 + 1e3 * f64::from(n);
        // (Z − 50)/(Z + 50) of 12 pF: on the unit circle, below the real axis.
        let angle = -2.0 * (TAU * f * 12e-12 * 50.0).atan();
        writeln!(
            reflection,
            "{f} {} {}",
            0.9999 * angle.cos(),
            0.9999 * angle.sin()
        )
        .unwrap();
    }
    let touchstone = folder.path().join("open.s1p");
    std::fs::write(&touchstone, reflection).unwrap();
    let run = coilwright(&["coil", "fit", touchstone.to_str().unwrap()]);
    assert!(shown(&run, 3).contains("as an open coil"));
    // The impedance alone tells it, and the ohmmeter agrees.
    let against = ["coil", "fit", open, "--against", &good, "--ohms", "open"];
    for arguments in [&against[..5], &against] {
        let text = shown(&coilwright(arguments), 1);
        assert!(text.contains("Found: the coil is open"), "{text}");
    }
}

#[test]
fn pictures_of_fits() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| repository(name).to_str().unwrap().to_owned();
    let sweep = sweep(folder.path(), "sweep.csv", 125e3);
    let coil = table(folder.path(), "coil.csv", 1.0e-3, 12.0);
    let drawn = folder.path().join("drawn.svg");
    let drawn = drawn.to_str().unwrap();
    for (file, titles) in [
        (
            path("testdata/sandpiper/ring-down.wav"),
            &["The strongest edge or ping", "What the fit leaves"][..],
        ),
        (
            path("testdata/touchstone/ring_ri.s1p"),
            &["Magnitude over frequency", "Resonance circle"],
        ),
        (sweep.clone(), &["Amplitude over frequency"]),
        (coil, &["Inductance", "Resistance"]),
    ] {
        let run = coilwright(&["coil", "fit", &file, "--plot", drawn, "--force"]);
        assert_eq!(run.code, 0, "{}", run.messages);
        let svg = std::fs::read_to_string(drawn).unwrap();
        assert!(svg.ends_with("</svg>\n"));
        for title in titles {
            assert!(svg.contains(&format!(">{title}</text>")), "{file}: {title}");
        }
        // Measured points are discs, the fit a line of its own colour.
        assert!(
            svg.contains("stroke=\"#0072B2\"") && svg.contains("fill=\"#707070\""),
            "{file}"
        );
        assert!(!svg.contains("NaN") && !svg.contains("inf"), "{file}");
    }
    let again = coilwright(&["coil", "fit", &sweep, "--plot", drawn]);
    assert_eq!(again.code, 2);
    assert!(again.messages.contains("is there already"));
    let open = path("testdata/sandpiper/open-ring.wav");
    let other = folder.path().join("other.svg");
    for (arguments, words) in [
        (
            vec![&sweep[..], &sweep, "--plot", other.to_str().unwrap()],
            "found 2 files",
        ),
        (
            vec![&open[..], "--plot", other.to_str().unwrap()],
            "nothing to draw",
        ),
        (
            vec![&sweep[..], "--plot", "sweep.gif"],
            "ends in .svg or .png",
        ),
    ] {
        let run = coilwright(&[&["coil", "fit"], &arguments[..]].concat());
        assert_eq!(run.code, 2);
        assert!(
            run.messages.replace('\n', " ").contains(words),
            "{}",
            run.messages
        );
        assert!(!other.exists());
    }
}

/// The resonance is marked, the fitted circle is smooth, and where nothing can be drawn the numbers are still said.
#[test]
fn the_resonance_is_marked_on_a_smooth_circle() {
    let folder = tempfile::tempdir().unwrap();
    let ring = repository("testdata/touchstone/ring_ri.s1p");
    let drawn = folder.path().join("drawn.svg");
    let drawn = drawn.to_str().unwrap();
    let run = coilwright(&["coil", "fit", ring.to_str().unwrap(), "--plot", drawn]);
    assert_eq!(run.code, 0, "{}", run.messages);
    let svg = std::fs::read_to_string(drawn).unwrap();
    assert!(svg.contains("resonance: orange square"));
    assert_eq!(svg.matches("fill=\"#E69F00\"").count(), 2);
    let blue = |line: &&str| line.contains("stroke=\"#0072B2\"");
    let curves: Vec<&str> = svg.lines().filter(blue).collect();
    assert_eq!(curves.len(), 2);
    assert!(curves.iter().all(|curve| curve.matches('L').count() >= 700));

    let open = repository("testdata/sandpiper/open-ring.wav");
    let none = folder.path().join("none.svg");
    let none = none.to_str().unwrap();
    let run = coilwright(&["coil", "fit", open.to_str().unwrap(), "--plot", none]);
    assert_eq!(run.code, 2);
    assert!(
        run.data.contains("No resonance was measured"),
        "{}",
        run.data
    );
}

#[test]
fn pictures_of_several_coils_and_of_designs() {
    let folder = tempfile::tempdir().unwrap();
    let one = table(folder.path(), "one.csv", 1.0e-3, 12.0);
    let two = table(folder.path(), "two.csv", 1.1e-3, 13.0);
    let place = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let drawn = place("compared.svg");
    let run = coilwright(&["coil", "compare", &one, &two, "--plot", &drawn]);
    assert_eq!(run.code, 0, "{}", run.messages);
    assert!(run.data.contains("1.1 mH"));
    let svg = std::fs::read_to_string(&drawn).unwrap();
    for part in [
        "one.csv</text>",
        "two.csv</text>",
        ">Q</text>",
        ">Inductance, µH</text>",
    ] {
        assert!(svg.contains(part), "{part}");
    }
    // Three numbers were measured of two coils each: a bar with its ends, and a disc.
    assert_eq!(svg.matches("stroke=\"#0072B2\"").count(), 18);
    assert_eq!(svg.matches("fill=\"#0072B2\"").count(), 6);
    assert!(!svg.contains(">Resonance"), "nothing resonates here");
    let over = coilwright(&["coil", "compare", &one, &two, "--plot", &one, "--force"]);
    assert_eq!(over.code, 2, "{}", over.data);

    let drawn = place("design.svg");
    let aim = ["--least-q", "30", "--distance", "12e-3", "--plot", &drawn];
    let run = coilwright(&[&ROOM[..], &aim].concat());
    assert_eq!(run.code, 0, "{}", run.messages);
    let svg = std::fs::read_to_string(&drawn).unwrap();
    assert!(svg.contains("coupling coefficient, %") && svg.contains("fill=\"#0072B2\""));
    assert!(svg.contains(" × 200 µm</text>"), "{svg}");
}

/// A frequency column may be headed as handbooks write it, and what is wrong in a row is said of that row.
#[test]
fn a_table_over_f_with_a_broken_row() {
    let folder = tempfile::tempdir().unwrap();
    let path = table(folder.path(), "over-f.csv", 700e-6, 20.0);
    let text = std::fs::read_to_string(&path).unwrap();
    let text = text.replacen("Frequency (Hz)", "f", 1);
    std::fs::write(&path, &text).unwrap();
    let run = coilwright(&["coil", "fit", &path, "--json"]);
    assert!((number(&run, "inductance_henry") / 700e-6 - 1.0).abs() < 1e-3);
    let mut lines: Vec<&str> = text.lines().collect();
    for broken in ["110000,over,483", "110000,over,20,483"] {
        lines[11] = broken;
        std::fs::write(&path, lines.join("\n")).unwrap();
        let run = coilwright(&["coil", "fit", &path]);
        assert_eq!(run.code, 2, "{}{}", run.data, run.messages);
        for part in ["over-f.csv", "line 12", "over"] {
            assert!(run.messages.contains(part), "{part}: {}", run.messages);
        }
    }
}
