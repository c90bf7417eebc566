//! A few hundred seeded trials: errors on the bound, honest intervals. The full report is `examples/limits_ring.rs`.

use crate::signals::{Sampler, decay, noise_rms, turn_off, turn_on};
use coilwright_coil::{
    BoundMode, BoundScene, Estimate, FitError, Mode, RingDownOptions, fit_ring_down, fit_turn_off,
    fit_turn_on, mode_bounds,
};
use std::f64::consts::TAU;

const TRIALS: usize = 300;
/// A root mean square over 300 trials scatters by 1/√600 = 4 %; four of those, and 4 % for phases that differ from the mean bound.
const RATIO_BUDGET: f64 = 0.20;
/// The share inside 95 % over 600 numbers scatters by 0.9 %, by 1.3 % if the two of a fit went together; four of those.
const COVERAGE_BUDGET: f64 = 0.05;

struct Outcome {
    resonance_ratio: f64,
    q_ratio: f64,
    coverage: f64,
}

fn trials(
    resonance_hz: f64,
    q: f64,
    lines_hz: &[f64],
    noise: f64,
    samples: usize,
    mut fit: impl FnMut(f64) -> Result<Mode, FitError>,
) -> Outcome {
    let phases: Vec<f64> = (0..12).map(|k| TAU * f64::from(k) / 12.0).collect();
    let bounds = phases.iter().map(|&phase_rad| {
        let mode = BoundMode {
            resonance_hz,
            q,
            amplitude: 1.0,
            phase_rad,
        };
        let lines_hz = lines_hz.to_vec();
        mode_bounds(&BoundScene {
            modes: vec![mode],
            lines_hz,
            sample_rate_hz: 1e6,
            samples,
            noise_rms: noise,
        })
        .unwrap()[0]
    });
    let (hz_bound, q_bound) = bounds.fold((0.0, 0.0), |sum, b| {
        (sum.0 + b.resonance_hz.powi(2), sum.1 + b.q.powi(2))
    });
    let (mut hz, mut qs, mut inside) = (0.0, 0.0, 0.0);
    for trial in 0..TRIALS {
        let mode = fit(TAU * trial as f64 / 60.0).unwrap();
        let (hz_error, q_error) = (mode.resonance_hz.value - resonance_hz, mode.q.value - q);
        hz += hz_error.powi(2);
        qs += q_error.powi(2);
        inside += f64::from(u8::from(hz_error.abs() < 1.96 * mode.resonance_hz.std_dev));
        inside += f64::from(u8::from(q_error.abs() < 1.96 * mode.q.std_dev));
    }
    let count = TRIALS as f64;
    Outcome {
        resonance_ratio: (hz / count / (hz_bound / 12.0)).sqrt(),
        q_ratio: (qs / count / (q_bound / 12.0)).sqrt(),
        coverage: 0.5 * inside / count,
    }
}

fn check(name: &str, outcome: &Outcome) {
    assert!(
        (outcome.resonance_ratio - 1.0).abs() < RATIO_BUDGET,
        "{name}: f0 {}",
        outcome.resonance_ratio
    );
    assert!(
        (outcome.q_ratio - 1.0).abs() < RATIO_BUDGET,
        "{name}: Q {}",
        outcome.q_ratio
    );
    assert!(
        (outcome.coverage - 0.95).abs() < COVERAGE_BUDGET,
        "{name}: coverage {}",
        outcome.coverage
    );
}

#[test]
fn free_decays_are_on_the_bound() {
    for (q, snr_db, samples) in [(5.0, 30.0, 64), (15.0, 20.0, 190), (50.0, 50.0, 640)] {
        let mut sampler = Sampler::new(3);
        let noise = noise_rms(snr_db);
        let outcome = trials(125e3, q, &[], noise, samples, |phase| {
            let record = sampler.record(decay(125e3, q, phase), 1e6, samples, noise);
            fit_ring_down(&[&record], 1e6, &RingDownOptions::default()).map(|f| f.mode)
        });
        check(&format!("Q {q}, {snr_db} dB"), &outcome);
    }
}

#[test]
fn edges_are_on_the_bound() {
    let (drive, q, samples) = (Estimate::new(125e3, 0.0), 12.0, 190);
    let noise = noise_rms(35.0);
    let mut sampler = Sampler::new(4);
    let off = trials(125e3, q, &[], noise, samples, |phase| {
        let record = sampler.record(turn_off(125e3, q, 125e3, phase), 1e6, samples, noise);
        fit_turn_off(&[&record], 1e6, drive, &RingDownOptions::default()).map(|f| f.ring.mode)
    });
    check("turn-off", &off);
    let on = trials(125e3, q, &[125e3], noise, samples, |phase| {
        let record = sampler.record(turn_on(125e3, q, 125e3, phase), 1e6, samples, noise);
        fit_turn_on(&[&record], 1e6, drive, &RingDownOptions::default()).map(|f| f.ring.mode)
    });
    check("turn-on", &on);
}

#[test]
fn sixteen_edges_gain_a_factor_of_four() {
    let noise = noise_rms(25.0);
    let mut sampler = Sampler::new(5);
    let mut joint = |count: usize| {
        let records: Vec<Vec<f32>> = (0..count)
            .map(|k| sampler.record(turn_off(127e3, 20.0, 125e3, k as f64), 1e6, 250, noise))
            .collect();
        let views: Vec<&[f32]> = records.iter().map(Vec::as_slice).collect();
        fit_turn_off(
            &views,
            1e6,
            Estimate::new(125e3, 0.0),
            &RingDownOptions::default(),
        )
        .unwrap()
        .ring
        .mode
        .q
    };
    let (one, sixteen) = (joint(1), joint(16));
    assert!(
        (one.std_dev / sixteen.std_dev / 4.0 - 1.0).abs() < 0.15,
        "{one:?} {sixteen:?}"
    );
    assert!((sixteen.value - 20.0).abs() < 4.0 * sixteen.std_dev);
}
