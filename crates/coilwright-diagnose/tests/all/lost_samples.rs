//! Captures from which the recorder lost samples: the frames on both sides are still read.

use coilwright_diagnose::{CheckOptions, check};
use coilwright_signal::Span;
use coilwright_simulate::{Fault, Scenario};

/// A key at RF/40 in a field that stays on, so that a frame lasts 20 ms.
fn scenario() -> Scenario {
    let mut scenario = Scenario::random(Fault::None, 6);
    let recorder = &mut scenario.setup.recorder;
    recorder.sample_rate_hz = 1e6;
    recorder.bits = Some(8);
    recorder.length_s = 0.2;
    scenario
}

#[test]
fn frames_on_both_sides_of_lost_samples_are_read() {
    // The carrier has eight samples a cycle: one moves its phase by an eighth of a turn, many whole cycles do not at all.
    for lost in [0, 1, 4, 13, 3137, 3136, 20_000] {
        let mut scenario = scenario();
        scenario.setup.recorder.lost = vec![Span::new(100_000, 100_000 + lost)];
        let simulated = scenario.simulate().unwrap();
        let truth = simulated.truth.keys[0].frame.as_ref().unwrap();
        let mut source = simulated.capture.into_source();
        let found = check(&mut source, &CheckOptions::default()).unwrap();
        let key = &found.keys[0];
        let frame = key.frame.as_ref().unwrap();
        assert_eq!(frame.payload, truth.payload, "{lost}");
        let whole = |span: &&Span| span.end < 99_000 || span.start > 101_000;
        let (before, after): (Vec<&Span>, Vec<&Span>) = key
            .spans
            .iter()
            .filter(whole)
            .partition(|span| span.end < 100_000);
        assert!(
            !before.is_empty() && !after.is_empty(),
            "{lost}: {:?}",
            key.spans
        );
        assert_eq!(found.keys.len(), 1, "{lost}");
    }
}
