//! The shipped demo captures are what the simulator makes today.

use std::path::Path;

use coilwright_signal::capture::{ReadOptions, read};
use coilwright_simulate::demo;

/// Elementary functions may differ in the last bit between machines, which may move a rounding.
const ONE_STEP: f32 = 1.01 / 32_768.0;

#[test]
fn sandpiper_is_up_to_date() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../testdata/sandpiper");
    for (name, scenario) in demo::sandpiper() {
        let simulated = scenario.simulate().unwrap();
        let (shipped, _) =
            read(folder.join(format!("{name}.wav")), &ReadOptions::default()).unwrap();
        assert_eq!(
            shipped.samples.len(),
            simulated.capture.samples.len(),
            "{name}"
        );
        let worst = shipped
            .samples
            .iter()
            .zip(&simulated.capture.samples)
            .fold(0.0_f32, |worst, (a, b)| worst.max((a - b).abs()));
        assert!(worst < ONE_STEP, "{name}: {worst}");
        let truth = std::fs::read_to_string(folder.join(format!("{name}.truth.json"))).unwrap();
        let truth: serde_json::Value = serde_json::from_str(&truth).unwrap();
        assert_eq!(truth["fault"], scenario.fault.identifier(), "{name}");
        assert_eq!(truth["seed"], scenario.seed, "{name}");
    }
}
