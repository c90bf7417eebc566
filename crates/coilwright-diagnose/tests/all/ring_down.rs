//! Ring-down captures, made from the closed form `A e^(−αt) sin(ω_d t)` with `ω_d² + α² = ω₀²` and `Q = ω₀ / 2α`.

use std::f64::consts::TAU;

use coilwright_diagnose::result::{FindingId, SignalKind, Tail};
use coilwright_diagnose::{Check, CheckOptions, Fault, Measurement, check};
use coilwright_signal::capture::Capture;
use coilwright_simulate::{Fault as Truth, Scenario};
use proptest::prelude::*;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// A ring that is tapped a few times, and its recorder.
#[derive(Clone, Copy, Debug)]
struct Tapped {
    resonance_hz: f64,
    q: f64,
    amplitude: f64,
    rate_hz: f64,
    length_s: f64,
    first_s: f64,
    every_s: f64,
    offset: f64,
    /// Power of the decay at its start over the noise, in decibels.
    snr_db: f64,
    seed: u64,
}

const USUAL: Tapped = Tapped {
    resonance_hz: 125_300.0,
    q: 14.0,
    amplitude: 0.5,
    rate_hz: 1e6,
    length_s: 0.02,
    first_s: 0.0011,
    every_s: 0.004,
    offset: 0.0,
    snr_db: 50.0,
    seed: 1,
};

impl Tapped {
    fn samples(self) -> Vec<f32> {
        let omega = TAU * self.resonance_hz;
        let alpha = omega / (2.0 * self.q);
        let damped = (omega * omega - alpha * alpha).sqrt();
        let noise = self.amplitude.abs() * (0.5 * 10_f64.powf(-0.1 * self.snr_db)).sqrt();
        let mut random = ChaCha8Rng::seed_from_u64(self.seed);
        (0..(self.length_s * self.rate_hz) as usize)
            .map(|n| {
                let time = n as f64 / self.rate_hz;
                let rung: f64 = (0..u32::MAX)
                    .map(|tap| self.first_s + f64::from(tap) * self.every_s)
                    .take_while(|&start| start <= time)
                    .map(|start| {
                        let since = time - start;
                        self.amplitude * (-alpha * since).exp() * (damped * since).sin()
                    })
                    .sum();
                let noise: f64 = noise
                    * <StandardNormal as Distribution<f64>>::sample(&StandardNormal, &mut random);
                (self.offset + rung + noise) as f32
            })
            .collect()
    }

    fn measure(self, options: &CheckOptions) -> Measurement {
        let mut source = Capture::from_samples(self.samples(), self.rate_hz).into_source();
        Measurement::take(&mut source, options, &mut |_| {}).unwrap()
    }

    fn check(self) -> Check {
        self.measure(&CheckOptions::default()).conclude(None)
    }
}

/// Standard deviations by which an estimate may miss: once in some ten thousand.
const SIGMAS: f64 = 5.0;
/// Rounding to f32 in a noiseless record, relative.
const ROUNDING: f64 = 1e-6;

fn assert_measured(check: &Check, truth: Tapped) {
    assert_eq!(
        check.signal.kind,
        SignalKind::RingDown,
        "{truth:?}: {}",
        check.signal.reason
    );
    let resonance = check.ring.resonance_hz.unwrap();
    let q = check.ring.q.unwrap();
    for (found, true_value) in [(resonance, truth.resonance_hz), (q, truth.q)] {
        let error = (found.value - true_value).abs();
        assert!(
            error < SIGMAS * found.std_dev + ROUNDING * true_value,
            "{truth:?}: {found:?} for {true_value}"
        );
    }
    // From the bound for a lone decay of 50 dB: far from useless.
    assert!(
        resonance.std_dev < 0.02 * truth.resonance_hz && q.std_dev < 0.2 * truth.q,
        "{resonance:?} {q:?}"
    );
}

#[test]
fn pings_give_the_ring_and_no_word_on_field_and_key() {
    let check = USUAL.check();
    assert_measured(&check, USUAL);
    assert_eq!(check.verdict.fault, Fault::None);
    assert!(
        check.verdict.sentence.contains("nothing of field and key"),
        "{}",
        check.verdict.sentence
    );
    assert_eq!(check.carrier.frequency_hz, None);
    assert_eq!(check.field.burst_count, 0);
    assert!(check.keys.is_empty());
    assert_eq!(check.ring.tail, Tail::Free);
    assert!(
        check
            .findings
            .iter()
            .any(|finding| finding.id == FindingId::RingDownCapture)
    );
    let ring_down = check.ring.ring_down.unwrap();
    assert_eq!(ring_down.ping_count, 5);
    for (tap, span) in ring_down.pings.iter().enumerate() {
        let start = 1e6 * (USUAL.first_s + tap as f64 * USUAL.every_s);
        assert!(
            (span.start as f64 - start).abs() < 40.0 && span.end > span.start + 100,
            "{span:?}"
        );
    }
    let trace = check.ring.trace.unwrap();
    let misses = trace
        .samples
        .iter()
        .zip(&trace.fitted)
        .map(|(sample, fitted)| (sample - fitted).powi(2));
    assert!((misses.sum::<f32>() / trace.samples.len() as f32).sqrt() < 0.01 * 0.5);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn resonance_and_q_are_found_whatever_the_ping(
        resonance_hz in 60e3..300e3_f64,
        ln_q in 3.0_f64.ln()..60.0_f64.ln(),
        polarity in prop::sample::select(vec![-1.0, 1.0]),
        rate_hz in prop::sample::select(vec![1e6, 2.5e6, 10e6]),
        offset in -1.0..1.0_f64,
        snr_db in 35.0..65.0_f64,
        short in any::<bool>(),
        seed in any::<u64>(),
    ) {
        let truth = Tapped {
            resonance_hz,
            q: ln_q.exp(),
            amplitude: 0.4 * polarity,
            rate_hz,
            length_s: if short { 0.003 } else { 0.02 },
            first_s: 0.000_8,
            every_s: 0.004,
            offset,
            snr_db,
            seed,
        };
        assert_measured(&truth.check(), truth);
    }
}

#[test]
fn a_scope_file_may_begin_with_the_ping() {
    let truth = Tapped {
        first_s: 0.0,
        length_s: 0.001,
        every_s: 1.0,
        ..USUAL
    };
    assert_measured(&truth.check(), truth);
}

#[test]
fn a_lone_ping_in_a_long_recording_is_found_across_segments() {
    for first_s in [0.999_95, 1.3, 1.999_9] {
        let truth = Tapped {
            first_s,
            every_s: 9.0,
            length_s: 2.0 + 0.000_4,
            ..USUAL
        };
        assert_measured(&truth.check(), truth);
        assert_eq!(truth.check().ring.ring_down.unwrap().ping_count, 1);
    }
}

#[test]
fn an_undersampled_ring_is_unfolded_about_the_nominal_carrier() {
    let truth = Tapped {
        rate_hz: 192e3,
        q: 30.0,
        length_s: 0.1,
        every_s: 0.01,
        ..USUAL
    };
    let check = truth.check();
    assert_measured(&check, truth);
    assert_eq!((check.signal.zone, check.signal.inverted), (2, true));
    assert!((check.signal.ambiguous_with_hz[0] - 66_700.0).abs() < 100.0);
}

#[test]
fn a_ring_off_tune_is_not_called_sound() {
    let named = CheckOptions {
        nominal_hz: Some(125e3),
        ..CheckOptions::default()
    };
    let verdict = |resonance_hz, q| {
        Tapped {
            resonance_hz,
            q,
            ..USUAL
        }
        .measure(&named)
        .conclude(None)
        .verdict
    };
    assert_eq!(verdict(115_500.0, 14.0).fault, Fault::TuningDrifted);
    assert!(matches!(
        verdict(133_000.0, 11.0).fault,
        Fault::MetalNear | Fault::TuningDrifted
    ));
    assert_eq!(verdict(150_000.0, 2.6).fault, Fault::TurnsShorted);
    let sound = verdict(125_200.0, 14.0);
    assert_eq!(sound.fault, Fault::None);
    assert!(
        (0.6..0.9).contains(&sound.probability),
        "{}",
        sound.probability
    );
}

#[test]
fn a_known_good_ring_down_parts_drift_from_metal() {
    let named = CheckOptions {
        nominal_hz: Some(125e3),
        ..CheckOptions::default()
    };
    let good = USUAL.measure(&named);
    let verdict = |resonance_hz, q| {
        let check = Tapped {
            resonance_hz,
            q,
            seed: 2,
            ..USUAL
        }
        .measure(&named)
        .conclude(Some(&good));
        assert!(check.against.unwrap().q_ratio.is_some());
        check.verdict.fault
    };
    // A capacitor that lost 15 %: Q / f0 keeps, as the losses do. A lossless loop would lower Q / f0 by twice the shift.
    let up = 0.85_f64.sqrt().recip();
    assert_eq!(verdict(125_300.0 * up, 14.0 * up), Fault::TuningDrifted);
    assert_eq!(verdict(125_300.0 * 1.05, 10.5), Fault::MetalNear);
    assert_eq!(verdict(125_350.0, 14.1), Fault::None);
}

#[test]
fn taps_on_which_nothing_rings_are_told_only_where_a_ring_down_was_promised() {
    let dead = Tapped { q: 1.2, ..USUAL };
    let forced = CheckOptions {
        signal_kind: Some(SignalKind::RingDown),
        ..CheckOptions::default()
    };
    let check = dead.measure(&forced).conclude(None);
    assert_eq!(check.ring.tail, Tail::Gone);
    assert_eq!(check.ring.resonance_hz, None);
    assert!(check.verdict.fault == Fault::CannotTell || check.verdict.fault == Fault::TurnsShorted);
    assert_ne!(dead.check().signal.kind, SignalKind::RingDown);
}

#[test]
fn no_simulated_lock_is_taken_for_a_ring_down() {
    for (index, truth) in Truth::ALL.into_iter().enumerate() {
        let simulated = Scenario::random(truth, 7_100_000 + index as u64)
            .simulate()
            .unwrap();
        let check = check(
            &mut simulated.capture.into_source(),
            &CheckOptions::default(),
        )
        .unwrap();
        assert_ne!(check.signal.kind, SignalKind::RingDown, "{truth:?}");
    }
}
