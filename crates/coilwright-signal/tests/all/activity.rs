//! Edges, bursts and dips of signals built from the closed form of a series ring.

use coilwright_signal::activity::{
    Activity, ActivityDetector, EdgeKind, EdgeWindow, FieldState, LevelKind,
};
use proptest::prelude::{ProptestConfig, prop_assert, prop_assert_eq, proptest};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, Normal};
use std::f64::consts::TAU;

const RATE_HZ: f64 = 1e6;
const CARRIER_HZ: f64 = 125e3;

/// A series ring driven by a sine from rest, seen by a pickup coil: `q'' + 2 a q' + w0² q = cos(w t)`, output `q''`.
#[derive(Clone, Copy)]
struct Ring {
    resonance_hz: f64,
    q: f64,
}

/// Charge and current of the ring.
#[derive(Clone, Copy, Default)]
struct RingState {
    charge: f64,
    current: f64,
}

impl Ring {
    fn decay(self) -> f64 {
        TAU * self.resonance_hz / (2.0 * self.q)
    }

    fn damped(self) -> f64 {
        let natural = TAU * self.resonance_hz;
        (natural * natural - self.decay() * self.decay()).sqrt()
    }

    /// Charge, current and second derivative a time after `state`, without drive.
    fn free(self, state: RingState, time_s: f64) -> (RingState, f64) {
        let (a, wd) = (self.decay(), self.damped());
        let natural = TAU * self.resonance_hz;
        let amplitude = (state.current + a * state.charge) / wd;
        let (sin, cos) = (wd * time_s).sin_cos();
        let envelope = (-a * time_s).exp();
        let charge = envelope * (state.charge * cos + amplitude * sin);
        let current = envelope
            * ((amplitude * wd - a * state.charge) * cos
                - (state.charge * wd + a * amplitude) * sin);
        (
            RingState { charge, current },
            -2.0 * a * current - natural * natural * charge,
        )
    }

    /// Steady state under `cos(w t)`: charge, current and second derivative.
    fn steady(self, carrier_hz: f64, time_s: f64) -> (RingState, f64) {
        let (w, natural) = (TAU * carrier_hz, TAU * self.resonance_hz);
        let (re, im) = (natural * natural - w * w, 2.0 * self.decay() * w);
        let size = re.hypot(im);
        let phase = w * time_s - im.atan2(re);
        let charge = phase.cos() / size;
        (
            RingState {
                charge,
                current: -w * phase.sin() / size,
            },
            -w * w * charge,
        )
    }

    fn steady_amplitude(self, carrier_hz: f64) -> f64 {
        let (w, natural) = (TAU * carrier_hz, TAU * self.resonance_hz);
        w * w / (natural * natural - w * w).hypot(2.0 * self.decay() * w)
    }

    /// Unit steady amplitude; the drive is on from each first to each second time of `bursts`.
    fn output(
        self,
        rate_hz: f64,
        carrier_hz: f64,
        samples: usize,
        bursts: &[(f64, f64)],
    ) -> Vec<f32> {
        let scale = 1.0 / self.steady_amplitude(carrier_hz);
        let mut switches: Vec<(f64, bool)> = bursts
            .iter()
            .flat_map(|&(on, off)| [(on, true), (off, false)])
            .collect();
        switches.push((f64::INFINITY, false));
        let (mut since, mut driven, mut free) = (0.0, false, RingState::default());
        let mut next = 0;
        (0..samples)
            .map(|n| {
                let time_s = n as f64 / rate_hz;
                while switches[next].0 <= time_s {
                    let (at, on) = switches[next];
                    let (mut state, _) = self.free(free, at - since);
                    let (steady, _) = self.steady(carrier_hz, at);
                    if driven {
                        state.charge += steady.charge;
                        state.current += steady.current;
                    }
                    if on {
                        state.charge -= steady.charge;
                        state.current -= steady.current;
                    }
                    (since, driven, free) = (at, on, state);
                    next += 1;
                }
                let (_, natural) = self.free(free, time_s - since);
                // The pickup sees the voltage of the coil, which is the second derivative of the charge.
                let forced = if driven {
                    self.steady(carrier_hz, time_s).1
                } else {
                    0.0
                };
                (scale * (natural + forced)) as f32
            })
            .collect()
    }
}

fn add_noise(samples: &mut [f32], snr_db: f64, seed: u64) {
    let deviation = 10.0_f64.powf(-snr_db / 20.0) / 2.0_f64.sqrt();
    let normal = Normal::new(0.0, deviation).unwrap();
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    for sample in samples {
        *sample += normal.sample(&mut random) as f32;
    }
}

fn detect(
    samples: &[f32],
    rate_hz: f64,
    carrier_hz: f64,
    block: usize,
) -> (Activity, Vec<EdgeWindow>) {
    let mut detector = ActivityDetector::new(rate_hz, carrier_hz, LevelKind::RealCarrier).unwrap();
    for block in samples.chunks(block) {
        detector.push(block);
    }
    detector.finish()
}

/// Load modulation of a Manchester key at RF/64 with random bits: the amplitude swings by `depth` peak to peak.
fn modulate(samples: &mut [f32], rate_hz: f64, depth: f64, seed: u64) {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let half_bit = 32.0 / CARRIER_HZ * rate_hz;
    let bits: Vec<bool> = (0..samples.len()).map(|_| random.random()).collect();
    for (n, sample) in samples.iter_mut().enumerate() {
        let half = (n as f64 / half_bit) as usize;
        let high = bits[half / 2] == (half.is_multiple_of(2));
        *sample *= (1.0 + if high { depth / 2.0 } else { -depth / 2.0 }) as f32;
    }
}

/// Signed distance from the first sample at or after the switch.
fn error(edge: u64, switch_s: f64, rate_hz: f64) -> i64 {
    edge.cast_signed() - (switch_s * rate_hz).ceil() as i64
}

/// Worst early and late error of both edges over a few seeds.
fn worst_errors(rate_hz: f64, ring: Ring, snr_db: f64) -> (i64, i64) {
    let mut errors = Vec::new();
    for seed in 0..6_u8 {
        let on_s = 0.01 + f64::from(seed) * 1.37e-6;
        let off_s = on_s + 0.010_003_1 + f64::from(seed) * 0.73e-6;
        let mut samples = ring.output(
            rate_hz,
            CARRIER_HZ,
            (rate_hz * 0.03) as usize,
            &[(on_s, off_s)],
        );
        add_noise(&mut samples, snr_db, u64::from(seed));
        let (activity, _) = detect(&samples, rate_hz, CARRIER_HZ, 4096);
        assert_eq!(activity.edges.len(), 2, "{activity:?}");
        assert!(activity.edges.iter().all(|edge| edge.refined));
        errors.push(error(activity.edges[0].sample, on_s, rate_hz));
        errors.push(error(activity.edges[1].sample, off_s, rate_hz));
    }
    (*errors.iter().min().unwrap(), *errors.iter().max().unwrap())
}

/// At 40 dB the start of a transient with the time constant `tau` in samples drowns for about
/// `(12 LATE_COST sigma² tau²)^(1/3)` samples: 1 for Q 5, 3 for Q 30, 5 for Q 50. Early by no more than 3.
#[test]
fn edges_are_found_to_a_few_samples_at_40_db() {
    for (q, resonance_hz, latest) in [
        (3.0, 125e3, 2),
        (5.0, 125e3, 2),
        (15.0, 125e3, 3),
        (15.0, 135e3, 3),
        (30.0, 117e3, 3),
        (30.0, 125e3, 4),
        (50.0, 131e3, 4),
        (50.0, 125e3, 7),
    ] {
        let (early, late) = worst_errors(RATE_HZ, Ring { resonance_hz, q }, 40.0);
        assert!(
            early >= -3 && late <= latest,
            "Q {q}, {resonance_hz} Hz: {early}..{late}"
        );
    }
}

/// Without noise only rounding to whole samples and the slow start of the transient are left.
#[test]
fn edges_are_found_at_any_rate_at_60_db() {
    for rate_hz in [384e3, 500e3, 1e6, 2.5e6] {
        for q in [5.0, 15.0, 30.0] {
            let (early, late) = worst_errors(
                rate_hz,
                Ring {
                    resonance_hz: 128e3,
                    q,
                },
                60.0,
            );
            assert!(
                early >= -2 && late <= 4,
                "Q {q}, {rate_hz} S/s: {early}..{late}"
            );
        }
    }
}

#[test]
fn key_modulation_is_neither_edge_nor_dip() {
    for snr_db in [15.0, 25.0, 40.0, 60.0] {
        let ring = Ring {
            resonance_hz: 125e3,
            q: 15.0,
        };
        let mut samples = ring.output(RATE_HZ, CARRIER_HZ, 300_000, &[(-0.01, 1.0)]);
        modulate(&mut samples, RATE_HZ, 0.17, 3);
        add_noise(&mut samples, snr_db, 4);
        let (activity, windows) = detect(&samples, RATE_HZ, CARRIER_HZ, 10_000);
        assert_eq!(
            activity.state,
            FieldState::AlwaysOn,
            "{snr_db} dB: {activity:?}"
        );
        assert!(activity.edges.is_empty() && activity.dips.is_empty() && windows.is_empty());
        assert!((activity.bursts[0].level - 1.0).abs() < 0.03);
    }
}

#[test]
fn noise_alone_is_never_on() {
    for seed in 0..3 {
        let mut samples = vec![0.0; 1_000_000];
        add_noise(&mut samples, 40.0, seed);
        let (activity, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 65_536);
        assert_eq!(activity.state, FieldState::NeverOn);
        assert!(activity.bursts.is_empty() && activity.edges.is_empty());
    }
    assert_eq!(
        detect(&[], RATE_HZ, CARRIER_HZ, 1).0.state,
        FieldState::NeverOn
    );
    assert_eq!(
        detect(&vec![0.0; 50_000], RATE_HZ, CARRIER_HZ, 999).0.state,
        FieldState::NeverOn
    );
}

#[test]
fn an_asking_interlock_gives_regular_bursts() {
    let bursts: Vec<(f64, f64)> = (0..6)
        .map(|n| (0.02 + 0.1 * f64::from(n), 0.05 + 0.1 * f64::from(n)))
        .collect();
    for snr_db in [12.0, 30.0, 60.0] {
        let mut samples = Ring {
            resonance_hz: 125e3,
            q: 20.0,
        }
        .output(RATE_HZ, CARRIER_HZ, 600_000, &bursts);
        modulate(&mut samples, RATE_HZ, 0.1, 3);
        add_noise(&mut samples, snr_db, 5);
        let (activity, windows) = detect(&samples, RATE_HZ, CARRIER_HZ, 65_536);
        assert_eq!(activity.state, FieldState::Switched);
        assert_eq!(
            (activity.bursts.len(), activity.edges.len(), windows.len()),
            (6, 12, 12),
            "{snr_db} dB"
        );
        assert!(activity.dips.is_empty());
        let repetition = activity.repetition.unwrap();
        assert!(
            (repetition.period_s - 0.1).abs() < 1e-4
                && (repetition.length_s.unwrap() - 0.03).abs() < 1e-4
        );
        assert!(repetition.period_variation.unwrap() < 1e-3);
        for window in &windows {
            let edge = activity.edges[window.edge_index];
            assert_eq!(window.first_sample, edge.sample - 64);
            let from = window.first_sample as usize;
            assert_eq!(window.samples, samples[from..from + window.samples.len()]);
            assert!(window.samples.len() >= 1_000);
        }
    }
}

#[test]
fn a_field_that_is_on_from_the_first_sample_has_only_its_off_edge() {
    let mut samples = Ring {
        resonance_hz: 125e3,
        q: 20.0,
    }
    .output(RATE_HZ, CARRIER_HZ, 200_000, &[(-0.01, 0.12)]);
    add_noise(&mut samples, 40.0, 9);
    let (activity, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 5_000);
    assert_eq!(activity.edges.len(), 1);
    let edge = activity.edges[0];
    assert_eq!(edge.kind, EdgeKind::Off);
    assert!((edge.level_before - 1.0).abs() < 0.01 && edge.level_after < 0.01);
    assert!(!activity.bursts[0].begins_inside && activity.bursts[0].ends_inside);
}

#[test]
fn sudden_losses_of_level_are_dips_and_slow_changes_are_not() {
    let mut samples = Ring {
        resonance_hz: 125e3,
        q: 10.0,
    }
    .output(RATE_HZ, CARRIER_HZ, 400_000, &[(0.02, 0.38)]);
    for (n, sample) in samples.iter_mut().enumerate() {
        let slow = 1.0 + 0.4 * (TAU * n as f64 / 200_000.0).sin();
        let loss = match n {
            100_000..103_000 => 0.5,
            170_000..170_900 | 171_500..174_000 => 0.02,
            300_000..340_000 => 0.6,
            _ => 1.0,
        };
        *sample *= (slow * loss) as f32;
    }
    add_noise(&mut samples, 35.0, 11);
    let (activity, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 7_000);
    assert_eq!(activity.bursts.len(), 1, "{activity:?}");
    assert_eq!(activity.edges.len(), 2);
    let spans: Vec<u64> = activity.dips.iter().map(|dip| dip.span.start).collect();
    assert_eq!(spans.len(), 4, "{:?}", activity.dips);
    for (found, expected) in spans.iter().zip([100_000_u64, 170_000, 171_500, 300_000]) {
        assert!(found.abs_diff(expected) <= 32, "{found} {expected}");
    }
}

/// Samples of a whole number of microseconds at any rate.
fn edges_of(activity: &Activity) -> Vec<(EdgeKind, u64)> {
    activity
        .edges
        .iter()
        .map(|edge| (edge.kind, edge.sample))
        .collect()
}

/// Between 64 and 200 kS/s the carrier folds; a window then lasts up to 0.2 ms and a ring dies within it.
#[test]
fn an_undersampled_carrier_is_followed_where_it_appears() {
    for (rate_hz, apparent_hz) in [(192e3, 67e3), (96e3, 29e3)] {
        let ring = Ring {
            resonance_hz: 126e3,
            q: 15.0,
        };
        let mut samples = ring.output(
            rate_hz,
            CARRIER_HZ,
            (0.3 * rate_hz) as usize,
            &[(0.05, 0.12), (0.17, 0.24)],
        );
        add_noise(&mut samples, 40.0, 3);
        let (activity, _) = detect(&samples, rate_hz, apparent_hz, 1_000);
        assert_eq!(activity.bursts.len(), 2, "{rate_hz}: {activity:?}");
        for (edge, time_s) in activity.edges.iter().zip([0.05, 0.12, 0.17, 0.24]) {
            assert!(
                error(edge.sample, time_s, rate_hz).abs() <= 3,
                "{rate_hz}: {edge:?}"
            );
        }
    }
}

#[test]
fn an_envelope_capture_gives_the_same_edges() {
    // Behind a diode the level is the envelope over a small bias; the detector's own time constant is 40 µs.
    let tau_s = 40e-6;
    let mut samples: Vec<f32> = (0..300_000)
        .map(|n| {
            let time_s = f64::from(n) / RATE_HZ;
            let rise = |from_s: f64| {
                if time_s < from_s {
                    0.0
                } else {
                    1.0 - (-(time_s - from_s) / tau_s).exp()
                }
            };
            (0.02 + rise(0.05) - rise(0.15) + rise(0.2)) as f32
        })
        .collect();
    add_noise(&mut samples, 45.0, 3);
    let mut detector = ActivityDetector::new(RATE_HZ, 0.0, LevelKind::Envelope).unwrap();
    samples.chunks(8_192).for_each(|block| detector.push(block));
    let (activity, windows) = detector.finish();
    assert_eq!(windows.len(), 3);
    for (found, expected) in edges_of(&activity).iter().zip([
        (EdgeKind::On, 50_000_u64),
        (EdgeKind::Off, 150_000),
        (EdgeKind::On, 200_000),
    ]) {
        assert!(
            found.0 == expected.0 && found.1.abs_diff(expected.1) <= 4,
            "{found:?}"
        );
    }
}

#[test]
fn a_complex_capture_gives_the_same_edges() {
    // The carrier stands at -10 kHz in the baseband; both components come from the closed form, a quarter turn apart.
    let ring = Ring {
        resonance_hz: 125e3,
        q: 15.0,
    };
    let bursts = [(0.02, 0.06)];
    let mut real = ring.output(RATE_HZ, CARRIER_HZ, 100_000, &bursts);
    add_noise(&mut real, 45.0, 3);
    let mixed: Vec<f32> = real
        .iter()
        .enumerate()
        .flat_map(|(n, value)| {
            let (sin, cos) = (TAU * 135e3 * n as f64 / RATE_HZ).sin_cos();
            // Mean of two samples a quarter cycle apart takes out most of the sum frequency.
            let before = if n >= 2 { real[n - 2] } else { 0.0 };
            let (sin_before, cos_before) = (TAU * 135e3 * (n as f64 - 2.0) / RATE_HZ).sin_cos();
            let part = |now: f64, earlier: f64| {
                (f64::from(*value) * now + f64::from(before) * earlier) as f32
            };
            [part(cos, cos_before), part(-sin, -sin_before)]
        })
        .collect();
    let mut detector = ActivityDetector::new(RATE_HZ, -10e3, LevelKind::ComplexCarrier).unwrap();
    mixed.chunks(2_000).for_each(|block| detector.push(block));
    let (activity, windows) = detector.finish();
    assert_eq!(activity.edges.len(), 2, "{activity:?}");
    assert!((activity.bursts[0].level - 1.0).abs() < 0.1);
    for (edge, time_s) in activity.edges.iter().zip([0.02, 0.06]) {
        assert!(error(edge.sample, time_s, RATE_HZ).abs() <= 4, "{edge:?}");
    }
    let from = 2 * windows[0].first_sample as usize;
    assert_eq!(
        windows[0].samples,
        mixed[from..from + windows[0].samples.len()]
    );
}

/// Offset, hum, the drive's third and fifth harmonic and an interference line do not move the edges by much.
#[test]
fn edges_stand_beside_harmonics_hum_and_lines() {
    for seed in 0..4_u64 {
        let ring = Ring {
            resonance_hz: 128e3,
            q: 14.0,
        };
        let (on_s, off_s) = (0.02 + 3.3e-6 * seed as f64, 0.08 + 1.7e-6 * seed as f64);
        let mut samples = ring.output(RATE_HZ, CARRIER_HZ, 120_000, &[(on_s, off_s)]);
        add_noise(&mut samples, 45.0, seed);
        for (n, sample) in samples.iter_mut().enumerate() {
            let time_s = n as f64 / RATE_HZ;
            let tone =
                |amplitude: f64, frequency_hz: f64| amplitude * (TAU * frequency_hz * time_s).cos();
            let drive = if (on_s..off_s).contains(&time_s) {
                tone(0.03, 3.0 * CARRIER_HZ) + tone(0.01, 5.0 * CARRIER_HZ)
            } else {
                0.0
            };
            *sample += (0.1 + tone(0.2, 50.0) + tone(0.005, 97e3) + drive) as f32;
        }
        let (activity, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 10_000);
        assert_eq!(activity.edges.len(), 2, "{activity:?}");
        for (edge, time_s) in activity.edges.iter().zip([on_s, off_s]) {
            assert!(
                (-3..=4).contains(&error(edge.sample, time_s, RATE_HZ)),
                "{seed}: {edge:?}"
            );
        }
    }
}

/// Half-duplex: charge for 50 ms, then an answer 40 dB below it for 20 ms.
#[test]
fn a_half_duplex_answer_is_not_a_burst() {
    let bursts: Vec<(f64, f64)> = (0..4)
        .map(|n| (0.01 + 0.09 * f64::from(n), 0.06 + 0.09 * f64::from(n)))
        .collect();
    let mut samples = Ring {
        resonance_hz: 125e3,
        q: 20.0,
    }
    .output(RATE_HZ, CARRIER_HZ, 380_000, &bursts);
    for (_, off_s) in &bursts {
        let start = (off_s * RATE_HZ) as usize + 2_000;
        for (n, sample) in samples
            .iter_mut()
            .enumerate()
            .take(start + 18_000)
            .skip(start)
        {
            *sample += (0.01 * (TAU * 126e3 / RATE_HZ * n as f64).cos()) as f32;
        }
    }
    add_noise(&mut samples, 55.0, 1);
    let (activity, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 65_536);
    assert_eq!(
        (
            activity.bursts.len(),
            activity.edges.len(),
            activity.dips.len()
        ),
        (4, 8, 0),
        "{activity:?}"
    );
}

/// A key that is spoken to by gaps of 0.2 ms: dips of equal length, not bursts.
#[test]
fn gaps_of_a_downlink_are_dips_of_equal_length() {
    let gaps = [0.03, 0.0312, 0.0328, 0.034, 0.0356, 0.0372];
    let mut bursts = vec![(0.01, gaps[0])];
    bursts.extend(gaps.windows(2).map(|pair| (pair[0] + 2e-4, pair[1])));
    bursts.push((gaps[5] + 2e-4, 0.09));
    let mut samples = Ring {
        resonance_hz: 125e3,
        q: 8.0,
    }
    .output(RATE_HZ, CARRIER_HZ, 100_000, &bursts);
    add_noise(&mut samples, 40.0, 1);
    let (activity, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 65_536);
    assert_eq!(
        (activity.bursts.len(), activity.dips.len()),
        (1, 6),
        "{activity:?}"
    );
    assert!(activity.dip_regularity.unwrap().length_variation.unwrap() < 0.15);
    assert!(activity.dips.iter().all(|dip| dip.level_ratio < 0.1));
}

/// Between 5 and 10 dB the change drowns in the scatter of three windows and is seen in the mean of fifteen.
#[test]
fn bursts_are_found_in_strong_noise() {
    for (seed, snr_db) in [(1, 6.0), (2, 8.0), (3, 10.0)] {
        let bursts = [(0.02, 0.07), (0.12, 0.17), (0.22, 0.27)];
        let mut samples = Ring {
            resonance_hz: 125e3,
            q: 10.0,
        }
        .output(RATE_HZ, CARRIER_HZ, 300_000, &bursts);
        add_noise(&mut samples, snr_db, seed);
        let (activity, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 65_536);
        assert_eq!(
            (activity.bursts.len(), activity.dips.len()),
            (3, 0),
            "{snr_db}: {activity:?}"
        );
        for (burst, (on_s, off_s)) in activity.bursts.iter().zip(bursts) {
            for (sample, time_s) in [(burst.span.start, on_s), (burst.span.end, off_s)] {
                assert!(
                    error(sample, time_s, RATE_HZ).abs() < 60,
                    "{snr_db}: {burst:?}"
                );
            }
        }
    }
}

/// A converter's line 7 kHz from the carrier, switched on after the recorder, fills the gaps.
#[test]
fn a_line_beside_the_carrier_is_no_field() {
    let bursts = [(0.02, 0.1), (0.13, 0.21)];
    let mut samples = Ring {
        resonance_hz: 125e3,
        q: 12.0,
    }
    .output(RATE_HZ, CARRIER_HZ, 300_000, &bursts);
    for (n, sample) in samples.iter_mut().enumerate().skip(700) {
        let time_s = n as f64 / RATE_HZ;
        let line = 1.0 + (TAU * 1.3e3 * time_s).cos();
        *sample += (0.08 * line * (TAU * 132e3 * time_s).cos()) as f32;
    }
    add_noise(&mut samples, 45.0, 2);
    let (activity, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 65_536);
    assert_eq!(
        (activity.bursts.len(), activity.dips.len()),
        (2, 0),
        "{activity:?}"
    );
    for (burst, (on_s, off_s)) in activity.bursts.iter().zip(bursts) {
        for (sample, time_s) in [(burst.span.start, on_s), (burst.span.end, off_s)] {
            assert!(error(sample, time_s, RATE_HZ).abs() < 300, "{burst:?}");
        }
    }
}

/// A loose joint opens for 0.7 to 16 ms; once while the drive stops, so that it closes on nothing.
#[test]
fn long_breaks_of_a_loose_joint_are_dips_beside_short_ones() {
    let on = [
        (0.01, 0.05),
        (0.0507, 0.08),
        (0.083, 0.12),
        (0.136, 0.17),
        (0.1722, 0.2),
    ];
    let mut samples = Ring {
        resonance_hz: 125e3,
        q: 12.0,
    }
    .output(RATE_HZ, CARRIER_HZ, 260_000, &on);
    for (n, sample) in samples[206_000..206_060].iter_mut().enumerate() {
        *sample += (0.7 * (TAU * 0.125 * n as f64).cos()) as f32;
    }
    add_noise(&mut samples, 45.0, 2);
    let (activity, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 65_536);
    assert_eq!(
        (
            activity.bursts.len(),
            activity.edges.len(),
            activity.dips.len()
        ),
        (1, 2, 4),
        "{activity:?}"
    );
    assert!(activity.dip_regularity.unwrap().length_variation.unwrap() > 0.5);
}

#[test]
fn sparks_and_broken_samples_are_survived() {
    let mut samples = Ring {
        resonance_hz: 125e3,
        q: 15.0,
    }
    .output(RATE_HZ, CARRIER_HZ, 200_000, &[(-0.01, 1.0)]);
    add_noise(&mut samples, 40.0, 1);
    samples[50_000..50_020].fill(5.0);
    for spark in [90_005, 130_000] {
        samples[spark..spark + 20]
            .iter_mut()
            .for_each(|sample| *sample *= 6.0);
    }
    samples[150_000] = f32::NAN;
    samples[160_000] = f32::INFINITY;
    let (activity, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 65_536);
    assert_eq!(
        (activity.state, activity.edges.len(), activity.dips.len()),
        (FieldState::AlwaysOn, 0, 0),
        "{activity:?}"
    );
    assert_eq!(activity.glitches, 3);
}

#[test]
fn senseless_settings_are_refused() {
    for (rate_hz, carrier_hz) in [
        (0.0, 1.0),
        (f64::NAN, 1.0),
        (1e6, 0.0),
        (1e6, 500e3),
        (1e6, -125e3),
    ] {
        assert!(ActivityDetector::new(rate_hz, carrier_hz, LevelKind::RealCarrier).is_err());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn the_cut_into_blocks_does_not_matter(cuts in proptest::collection::vec(1..9_000_usize, 1..40), scale in -12..12_i32) {
        let bursts = [(0.004, 0.011), (0.021, 0.0223), (0.0235, 0.03)];
        let mut samples = Ring { resonance_hz: 127e3, q: 25.0 }.output(RATE_HZ, CARRIER_HZ, 40_000, &bursts);
        add_noise(&mut samples, 30.0, 1);
        let whole = detect(&samples, RATE_HZ, CARRIER_HZ, 40_000);
        let mut detector = ActivityDetector::new(RATE_HZ, CARRIER_HZ, LevelKind::RealCarrier).unwrap();
        let mut rest = samples.as_slice();
        for cut in cuts.iter().cycle() {
            let (block, after) = rest.split_at((*cut).min(rest.len()));
            detector.push(block);
            rest = after;
            if rest.is_empty() {
                break;
            }
        }
        prop_assert_eq!(detector.finish(), whole.clone());
        let scaled: Vec<f32> = samples.iter().map(|sample| sample * 2.0_f32.powi(scale)).collect();
        let scaled = detect(&scaled, RATE_HZ, CARRIER_HZ, 10_000).0;
        prop_assert_eq!(
            scaled.edges.iter().map(|edge| edge.sample).collect::<Vec<_>>(),
            whole.0.edges.iter().map(|edge| edge.sample).collect::<Vec<_>>()
        );
    }

    #[test]
    fn edges_move_with_the_signal(shift in 0..400_usize) {
        let mut samples = Ring { resonance_hz: 127e3, q: 12.0 }.output(RATE_HZ, CARRIER_HZ, 30_000, &[(0.008, 0.02)]);
        add_noise(&mut samples, 45.0, 2);
        let mut shifted = vec![0.0; shift];
        add_noise(&mut shifted, 45.0, 8);
        shifted.extend_from_slice(&samples);
        let (before, _) = detect(&samples, RATE_HZ, CARRIER_HZ, 10_000);
        let (after, _) = detect(&shifted, RATE_HZ, CARRIER_HZ, 10_000);
        prop_assert_eq!(before.edges.len(), 2);
        prop_assert_eq!(after.edges.len(), 2);
        for (before, after) in before.edges.iter().zip(&after.edges) {
            prop_assert!((before.sample + shift as u64).abs_diff(after.sample) <= 1);
        }
    }
}
