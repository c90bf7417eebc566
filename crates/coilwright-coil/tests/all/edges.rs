//! Turn-on against turn-off.

use crate::signals::{Sampler, decay, noise_rms, turn_off, turn_on};
use coilwright_coil::{EdgeOutcome, Estimate, FitError, ReportedPole, RingDownOptions, fit_edges};

const DRIVE: Estimate = Estimate::new(125e3, 0.0);

fn records(seed: u64, wave: impl Fn(f64) -> Box<dyn Fn(f64) -> f64>, snr_db: f64) -> Vec<Vec<f32>> {
    let mut sampler = Sampler::new(seed);
    [0.2, 1.9, 4.0]
        .iter()
        .map(|&phase| sampler.record(wave(phase), 1e6, 300, noise_rms(snr_db)))
        .collect()
}

fn views(records: &[Vec<f32>]) -> Vec<&[f32]> {
    records.iter().map(Vec::as_slice).collect()
}

fn on(resonance_hz: f64, q: f64) -> Vec<Vec<f32>> {
    records(
        1,
        |phase| Box::new(turn_on(resonance_hz, q, 125e3, phase)),
        40.0,
    )
}

fn off(resonance_hz: f64, q: f64) -> Vec<Vec<f32>> {
    records(
        2,
        |phase| Box::new(turn_off(resonance_hz, q, 125e3, phase)),
        40.0,
    )
}

#[test]
fn edges_that_agree_are_combined() {
    let fit = fit_edges(
        &views(&on(127e3, 20.0)),
        &views(&off(127e3, 20.0)),
        1e6,
        DRIVE,
        &RingDownOptions::default(),
    );
    let (ring, same) = (fit.ring.unwrap(), fit.comparison.unwrap());
    assert_eq!(ring.pole, ReportedPole::Both);
    assert!(same.consistent && !fit.driver_holds_tail);
    let (on, off) = (
        fit.turn_on.fitted().unwrap(),
        fit.turn_off.fitted().unwrap(),
    );
    let (first, second) = (on.ring.mode.q.std_dev, off.ring.mode.q.std_dev);
    // Independent estimates: informations add.
    let expected = (first.powi(-2) + second.powi(-2)).powf(-0.5);
    assert!(
        (ring.q.std_dev / expected - 1.0).abs() < 0.02,
        "{:?}",
        ring.q
    );
    assert!((ring.q.value - 20.0).abs() < 4.0 * ring.q.std_dev);
    assert!((ring.resonance_hz.value - 127e3).abs() < 4.0 * ring.resonance_hz.std_dev);
}

#[test]
fn a_driver_that_changes_the_tail_is_seen() {
    let fit = fit_edges(
        &views(&on(127e3, 20.0)),
        &views(&off(127e3, 12.0)),
        1e6,
        DRIVE,
        &RingDownOptions::default(),
    );
    assert!(fit.driver_holds_tail);
    let (ring, comparison) = (fit.ring.unwrap(), fit.comparison.unwrap());
    assert_eq!(ring.pole, ReportedPole::TurnOn);
    assert!(!comparison.consistent && comparison.p_value < 1e-6);
    assert!((comparison.q_difference.value - 8.0).abs() < 4.0 * comparison.q_difference.std_dev);
    assert!((ring.q.value - 20.0).abs() < 4.0 * ring.q.std_dev);
}

#[test]
fn a_tail_that_is_choked_leaves_the_turn_on_pole() {
    let choked = records(3, |phase| Box::new(decay(127e3, 1.5, phase)), 40.0);
    let fit = fit_edges(
        &views(&on(127e3, 20.0)),
        &views(&choked),
        1e6,
        DRIVE,
        &RingDownOptions::default(),
    );
    assert!(matches!(
        fit.turn_off.failure(),
        Some(FitError::NoRingDown { .. })
    ));
    assert!(fit.driver_holds_tail && fit.comparison.is_none());
    assert_eq!(fit.ring.unwrap().pole, ReportedPole::TurnOn);
}

#[test]
fn one_kind_of_edge_is_enough() {
    let fit = fit_edges(
        &[],
        &views(&off(127e3, 20.0)),
        1e6,
        DRIVE,
        &RingDownOptions::default(),
    );
    assert_eq!(fit.turn_on, EdgeOutcome::Absent);
    assert_eq!(fit.ring.unwrap().pole, ReportedPole::TurnOff);
    let none = fit_edges(&[], &[], 1e6, DRIVE, &RingDownOptions::default());
    assert!(none.ring.is_none() && !none.driver_holds_tail);
}

#[test]
fn shorted_turns_keep_their_numbers() {
    let on = records(4, |phase| Box::new(turn_on(150e3, 1.8, 125e3, phase)), 40.0);
    let off = records(
        5,
        |phase| Box::new(turn_off(150e3, 1.8, 125e3, phase)),
        40.0,
    );
    let fit = fit_edges(
        &views(&on),
        &views(&off),
        1e6,
        DRIVE,
        &RingDownOptions::default(),
    );
    assert!(fit.ring.is_none() && !fit.driver_holds_tail);
    for failure in [fit.turn_on.failure(), fit.turn_off.failure()] {
        let Some(FitError::NoRingDown { q, .. }) = failure else {
            panic!("{failure:?}")
        };
        assert!((q.value - 1.8).abs() < 4.0 * q.std_dev, "{q:?}");
    }
}

#[test]
fn the_result_survives_json() {
    let fit = fit_edges(
        &views(&on(127e3, 20.0)),
        &views(&off(127e3, 20.0)),
        1e6,
        DRIVE,
        &RingDownOptions::default(),
    );
    let text = serde_json::to_string(&fit).unwrap();
    let back: coilwright_coil::EdgesFit = serde_json::from_str(&text).unwrap();
    // Decimal text holds f64 to the last digit but one.
    let (before, after) = (fit.ring.unwrap(), back.ring.unwrap());
    assert!((before.q.value / after.q.value - 1.0).abs() < 1e-12);
    assert!(text.contains(r#""pole":"both""#), "{text}");
}
