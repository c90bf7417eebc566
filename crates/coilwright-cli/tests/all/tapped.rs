//! Recordings of coils that were tapped by a pulse, and how slow, silent and two-channel ones are taken.

use std::f64::consts::TAU;
use std::path::Path;

use serde_json::Value;

use crate::coil::{number, valid};
use crate::{Run, coilwright};

/// A ring tapped after 10 ms: undamped resonance, Q, samples per second.
#[derive(Clone, Copy)]
struct Tap {
    resonance_hz: f64,
    q: f64,
    rate_hz: u32,
}

const RING: Tap = Tap {
    resonance_hz: 125e3,
    q: 30.0,
    rate_hz: 1_000_000,
};

impl Tap {
    /// 30 ms with a recorder's scatter of 1/10000 of full scale, without chance.
    fn samples(self) -> Vec<f64> {
        let rate = f64::from(self.rate_hz);
        let omega = TAU * self.resonance_hz;
        let (decay, damped) = (
            omega / (2.0 * self.q),
            omega * (1.0 - 0.25 / self.q.powi(2)).max(0.0).sqrt(),
        );
        let count = (0.03 * rate) as usize;
        let first = count / 3;
        let mut noise = 12_345_u32;
        (0..count)
            .map(|n| {
                noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let scatter = 1e-4 * (f64::from(noise >> 8) / f64::from(1_u32 << 24) - 0.5);
                if n < first {
                    return scatter;
                }
                let t = (n - first) as f64 / rate;
                0.6 * (-decay * t).exp() * (damped * t).cos() + scatter
            })
            .collect()
    }

    /// Writes them on the last of the channels; the others hear nothing.
    fn write(self, folder: &Path, name: &str, channels: u16) -> String {
        let path = folder.join(name);
        let specification = hound::WavSpec {
            channels,
            sample_rate: self.rate_hz,
            bits_per_sample: 16,
            sample_format: hound::SampleFormat::Int,
        };
        let mut writer = hound::WavWriter::create(&path, specification).unwrap();
        for sample in self.samples() {
            for _ in 1..channels {
                writer.write_sample(0_i16).unwrap();
            }
            writer.write_sample((32_767.0 * sample) as i16).unwrap();
        }
        writer.finalize().unwrap();
        path.to_str().unwrap().to_owned()
    }
}

fn fit(path: &str, more: &[&str]) -> Run {
    coilwright(&[&["coil", "fit", path], more].concat())
}

fn said(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_tapped_coil_that_does_not_ring_is_judged() {
    let folder = tempfile::tempdir().unwrap();
    let good = RING.write(folder.path(), "good.wav", 1);
    let dead = Tap { q: 0.8, ..RING }.write(folder.path(), "dead.wav", 1);
    let run = fit(&dead, &["--against", &good, "--json"]);
    valid(&run);
    let sheet: Value = serde_json::from_str(&run.data).unwrap();
    assert_eq!(sheet["kind"], "ring_down");
    assert_eq!(sheet["verdict"]["findings"][0]["kind"], "no_ring");
    let likely = sheet["verdict"]["likely"].as_array().unwrap();
    let sound = likely.iter().find(|l| l["condition"] == "sound").unwrap();
    assert!(sound["probability"].as_f64().unwrap() < 0.05, "{sound}");
    // With an ohmmeter's reading the evidence is enough.
    let run = fit(&dead, &["--against", &good, "--ohms", "open"]);
    assert!(run.data.contains("Found: the coil is open"), "{}", run.data);
    assert_eq!(run.code, 1);

    // Without a standard that rings, the person has to say what the recording is.
    let limit = ["--limit", "q=15.."];
    let run = fit(&dead, &limit);
    assert_eq!(run.code, 3);
    assert!(!run.data.contains("Condition"), "{}", run.data);
    assert!(
        said(&run.data).contains("say --signal-kind ring-down"),
        "{}",
        run.data
    );
    let run = fit(
        &dead,
        &[&limit[..], &["--signal-kind", "ring-down"]].concat(),
    );
    assert!(run.data.contains("Condition"), "{}", run.data);
    let run = fit(&dead, &["--json"]);
    valid(&run);
    assert_eq!(run.code, 3);
}

#[test]
fn a_slow_recorder_says_which_frequency_it_took() {
    let folder = tempfile::tempdir().unwrap();
    let slow = Tap {
        resonance_hz: 67e3,
        rate_hz: 192_000,
        ..RING
    };
    let path = slow.write(folder.path(), "slow.wav", 1);
    let folded = fit(&path, &["--json"]);
    assert!((number(&folded, "resonance_hz") / 125e3 - 1.0).abs() < 1e-3);
    assert!(folded.data.contains("--near 67.0e3"), "{}", folded.data);
    for (resonance_hz, near) in [(67e3, "67e3"), (40e3, "40e3")] {
        let path = Tap {
            resonance_hz,
            ..slow
        }
        .write(folder.path(), "slow.wav", 1);
        let run = fit(&path, &["--near", near, "--json"]);
        assert!((number(&run, "resonance_hz") / resonance_hz - 1.0).abs() < 1e-3);
        assert!((number(&run, "q") / 30.0 - 1.0).abs() < 0.02);
        assert!(!run.data.contains("folded"), "{}", run.data);
    }
    let high = Tap {
        rate_hz: 192_000,
        ..RING
    }
    .write(folder.path(), "high.wav", 1);
    let run = fit(&high, &["--near", "125e3"]);
    assert!(said(&run.data).contains("folded, as --near says"));
    let fast = RING.write(folder.path(), "fast.wav", 1);
    assert!(!fit(&fast, &[]).data.contains("folded"));
}

#[test]
fn one_channel_of_two_is_one_record() {
    let folder = tempfile::tempdir().unwrap();
    let path = RING.write(folder.path(), "stereo.wav", 2);
    let run = fit(&path, &[]);
    assert_eq!(run.code, 2);
    assert!(
        said(&run.messages).contains("name it: --channel 0 or --channel 1"),
        "{}",
        run.messages
    );
    let run = fit(&path, &["--channel", "1", "--json"]);
    assert!((number(&run, "resonance_hz") / 125e3 - 1.0).abs() < 1e-3);
    valid(&run);
    let compared = coilwright(&["coil", "compare", &path, &path, "--channel", "1"]);
    assert_eq!(compared.code, 0, "{}", compared.messages);

    // Two columns of a text file without a named frequency.
    let text = folder.path().join("two.csv");
    let rows: Vec<String> = RING
        .samples()
        .iter()
        .enumerate()
        .map(|(n, x)| format!("{:.7},{},{x:.5}", n as f64 * 1e-6, n % 2))
        .collect();
    std::fs::write(&text, rows.join("\n")).unwrap();
    let run = fit(text.to_str().unwrap(), &[]);
    assert_eq!(run.code, 2, "{}", run.data);
    assert!(
        said(&run.messages).contains("write `Freq (Hz),R (Ohm),X (Ohm)` over it"),
        "{}",
        run.messages
    );
    let run = fit(text.to_str().unwrap(), &["--channel", "1", "--json"]);
    assert!((number(&run, "resonance_hz") / 125e3 - 1.0).abs() < 1e-3);
}

#[test]
fn raw_samples_of_a_stated_type() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("ring.raw");
    let bytes: Vec<u8> = RING
        .samples()
        .iter()
        .flat_map(|x| (*x as f32).to_le_bytes())
        .collect();
    std::fs::write(&path, bytes).unwrap();
    let more = ["--raw-type", "f32le", "--sample-rate", "1e6", "--json"];
    let run = fit(path.to_str().unwrap(), &more);
    assert!((number(&run, "resonance_hz") / 125e3 - 1.0).abs() < 1e-3);
}

/// Many shorted turns leave a Q of about two and three times the frequency: too little to call it ringing, but enough to judge by.
#[test]
fn a_coil_that_dies_within_a_cycle_is_judged_by_its_rough_numbers() {
    let folder = tempfile::tempdir().unwrap();
    let good = RING.write(folder.path(), "good.wav", 1);
    let dying = Tap {
        resonance_hz: 290e3,
        q: 2.2,
        rate_hz: 2_000_000,
    };
    let path = dying.write(folder.path(), "dying.wav", 1);
    let run = fit(&path, &["--signal-kind", "ring-down", "--json"]);
    valid(&run);
    assert!((number(&run, "q") - 2.2).abs() < 0.3, "{}", run.data);
    assert!((number(&run, "resonance_hz") / 290e3 - 1.0).abs() < 0.1);
    let text = said(&fit(&path, &["--against", &good]).data);
    assert!(text.contains("it dies within"), "{text}");
    let run = fit(&path, &["--against", &good, "--json"]);
    let sheet: Value = serde_json::from_str(&run.data).unwrap();
    let likely = sheet["verdict"]["likely"].as_array().unwrap();
    assert_eq!(likely[0]["condition"], "turns_shorted", "{}", run.data);
    let findings = sheet["verdict"]["findings"].as_array().unwrap();
    assert!(findings.iter().all(|finding| finding["kind"] == "number"));
}
