use std::fs;

use serde_json::Value;

use crate::coilwright;

#[test]
fn the_same_seed_makes_the_same_files_and_the_truth_names_the_fault() {
    let folder = tempfile::tempdir().unwrap();
    let mut made = Vec::new();
    for name in ["one", "two"] {
        let out = folder.path().join(name);
        let run = coilwright(&[
            "synth",
            "--fault",
            "ring_open",
            "--seed",
            "5",
            "--length",
            "0.02",
            "--out",
            out.to_str().unwrap(),
        ]);
        assert_eq!((run.code, run.messages.as_str()), (0, ""));
        let truth: Value =
            serde_json::from_slice(&fs::read(out.join("ring_open-5.json")).unwrap()).unwrap();
        assert_eq!(truth["fault"], "ring_open");
        made.push(fs::read(out.join("ring_open-5.wav")).unwrap());
    }
    assert_eq!(made[0], made[1]);
}

#[test]
fn rate_bits_and_length_are_those_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    let run = coilwright(&[
        "synth",
        "--out",
        out,
        "--sample-rate",
        "400e3",
        "--bits",
        "14",
        "--length",
        "0.01",
        "--count",
        "2",
    ]);
    assert_eq!(run.code, 0, "{}", run.messages);
    for seed in [1, 2] {
        let reader =
            hound::WavReader::open(folder.path().join(format!("none-{seed}.wav"))).unwrap();
        assert_eq!(reader.spec().sample_rate, 400_000);
        assert_eq!(reader.spec().bits_per_sample, 16);
        assert_eq!(reader.duration(), 4_000);
    }
}

#[test]
fn a_key_that_is_asked_for_is_decoded_again() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    for (flags, kind, words) in [
        (
            &["--subcarrier", "10,8"][..],
            "fsk",
            "FSK RF/8 and RF/10, NRZ",
        ),
        (&["--phase-change", "on_one"], "psk", "PSK RF/"),
        (
            &["--frame", "hdx"],
            "half_duplex",
            "two tones after the field, NRZ",
        ),
    ] {
        let made = coilwright(&[&["synth", "--seed", "1", "--out", out], flags].concat());
        assert_eq!((made.code, made.messages.as_str()), (0, ""));
        let truth: Value =
            serde_json::from_slice(&fs::read(folder.path().join("none-1.json")).unwrap()).unwrap();
        let key = &truth["keys"][0];
        assert_eq!(key["modulation"], kind);
        let capture = folder.path().join("none-1.wav");
        let decoded = coilwright(&["decode", "--json", capture.to_str().unwrap()]);
        let decoded: Value = serde_json::from_str(&decoded.data).unwrap();
        assert_eq!(decoded["keys"][0]["modulation"], kind);
        let payload = &decoded["keys"][0]["frame"]["payload"];
        assert_eq!(payload, &key["frame"]["payload"]);
        let read = coilwright(&["decode", capture.to_str().unwrap()]);
        let text = read.data.replace('\n', " ");
        assert!(text.contains(words), "{text}");
    }
}

#[test]
fn a_key_that_makes_no_sense_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    let run = coilwright(&[
        "synth",
        "--modulation",
        "psk",
        "--subcarrier",
        "8,10",
        "--out",
        out,
    ]);
    assert_eq!(run.code, 2);
    assert!(
        run.messages.contains("the subcarrier does not go with"),
        "{}",
        run.messages
    );
}
