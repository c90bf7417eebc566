use coilwright_signal::capture::{WavSample, write_wav};
use coilwright_simulate::integrate::GatePhase;
use coilwright_simulate::{Fault, Scenario};
use serde_json::Value;

use crate::coilwright;
use crate::json::{assert_follows, closed_schema};

/// A lock whose field has gaps of 8 carrier cycles that spell 0, 1, 1, 0, a violation, 0 and 1 by their distances.
fn spoken_to(folder: &tempfile::TempDir) -> String {
    let mut scenario = Scenario::random(Fault::KeySilent, 4);
    let setup = &mut scenario.setup;
    let clock_s = setup.drive.frequency_hz.recip();
    let mut fall = 4000.0;
    setup.drive.gate_phase = GatePhase::FreeRunning;
    setup.drive.field_on_s = vec![(1000.0 * clock_s, fall * clock_s)];
    for interval in [20.0, 28.0, 28.0, 20.0, 36.0, 20.0, 28.0, 9000.0] {
        let on_s = (fall + 8.0) * clock_s;
        fall += interval;
        setup.drive.field_on_s.push((on_s, fall * clock_s));
    }
    setup.recorder.sample_rate_hz = 1e6;
    setup.recorder.length_s = 0.11;
    let capture = scenario.simulate().unwrap().capture;
    let path = folder.path().join("spoken.wav");
    write_wav(&path, &capture, WavSample::Float32).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn the_readers_symbols_stand_in_text_and_json() {
    let folder = tempfile::tempdir().unwrap();
    let path = spoken_to(&folder);
    let text = coilwright(&["decode", &path]).data;
    assert!(
        text.contains("The reader speaks by gaps in the field (messages: 1, gaps: 8)."),
        "{text}"
    );
    assert!(text.contains("0110V01"), "{text}");
    let decoded: Value =
        serde_json::from_str(&coilwright(&["decode", "--json", &path]).data).unwrap();
    let message = &decoded["downlink"]["messages"][0];
    assert_eq!(message["interval_count"], 7);
    assert_eq!(message["intervals"][4]["symbol"], "V");
    let check: Value = serde_json::from_str(&coilwright(&["check", "--json", &path]).data).unwrap();
    assert_follows(&closed_schema("check-1"), &check);
    assert_eq!(check["downlink"], decoded["downlink"]);
}
