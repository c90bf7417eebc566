//! Records that hold more than one free decay.

use crate::signals::{Sampler, decay, noise_rms, turn_off, turn_on};
use coilwright_coil::{
    Estimate, FitError, FitWarning, ModeCount, Residual, RingDownOptions, TailFreedom,
    fit_ring_down, fit_turn_off, fit_turn_on,
};
use std::f64::consts::TAU;

const DRIVE: Estimate = Estimate::new(125e3, 0.0);
/// Four standard deviations: one false alarm in 16 000.
const FOUR_SIGMA: f64 = 4.0;

fn within(found: Estimate, truth: f64) -> bool {
    (found.value - truth).abs() < FOUR_SIGMA * found.std_dev
}

#[test]
fn a_key_in_the_field_is_a_second_mode() {
    let (ring, key) = (decay(127e3, 20.0, 0.5), decay(124e3, 35.0, 1.0));
    let record = Sampler::new(1).record(|t| ring(t) + 0.05 * key(t), 1e6, 400, noise_rms(60.0));
    let fit = fit_ring_down(&[&record], 1e6, &RingDownOptions::default()).unwrap();
    assert!(
        within(fit.mode.q, 20.0) && within(fit.mode.resonance_hz, 127e3),
        "{:?}",
        fit.mode
    );
    assert!(within(fit.second.unwrap().resonance_hz, 124e3));
    // One mode alone is off by many standard deviations, and its residual says so.
    let one = RingDownOptions {
        modes: ModeCount::One,
        ..RingDownOptions::default()
    };
    let single = fit_ring_down(&[&record], 1e6, &one).unwrap();
    assert_eq!(single.goodness.residual, Residual::Structured);
    assert!(single.goodness.misfit > 0.01 && single.goodness.structure_p_value < 1e-6);
    assert!((single.mode.resonance_hz.value - 127e3).abs() > 20.0);
}

#[test]
fn a_carrier_that_is_left_over_is_taken_out_and_reported() {
    for (ratio, snr_db) in [(0.1, 40.0), (0.5, 25.0), (0.1, 60.0)] {
        let ring = turn_off(127e3, 20.0, 125e3, 0.4);
        let wave = |t: f64| ring(t) + ratio * (TAU * 125e3 * t + 1.0).sin();
        let record = Sampler::new(2).record(wave, 1e6, 400, noise_rms(snr_db));
        let fit = fit_turn_off(&[&record], 1e6, DRIVE, &RingDownOptions::default()).unwrap();
        let TailFreedom::CarrierLeft { ratio: found } = fit.freedom else {
            panic!("{:?}", fit.freedom)
        };
        assert!((found / ratio - 1.0).abs() < 0.2, "{found}");
        assert!(within(fit.ring.mode.q, 20.0), "{:?}", fit.ring.mode);
    }
}

#[test]
fn a_tail_that_falls_in_a_straight_line_is_not_free() {
    // A driver that clamps through diodes takes away a constant amount a cycle.
    let record = Sampler::new(3).record(
        |t| (1.0 - t / 150e-6).max(0.0) * (TAU * 126e3 * t).sin(),
        1e6,
        400,
        noise_rms(45.0),
    );
    let fit = fit_turn_off(&[&record], 1e6, DRIVE, &RingDownOptions::default()).unwrap();
    assert!(
        matches!(fit.freedom, TailFreedom::NotExponential { misfit } if misfit > 0.02),
        "{:?}",
        fit.freedom
    );
}

#[test]
fn shorted_turns_leave_no_ring_down() {
    for (q, snr_db) in [(2.0, 40.0), (1.0, 40.0), (1.5, 25.0)] {
        let record = Sampler::new(4).record(decay(160e3, q, 0.5), 1e6, 300, noise_rms(snr_db));
        let error = fit_turn_off(&[&record], 1e6, DRIVE, &RingDownOptions::default()).unwrap_err();
        let FitError::NoRingDown {
            q: found,
            cycles_per_tau,
            ..
        } = error
        else {
            panic!("{error:?}")
        };
        assert!(within(found, q), "{found:?}");
        assert!(cycles_per_tau < 0.75);
    }
}

#[test]
fn noise_alone_is_no_signal() {
    let mut sampler = Sampler::new(5);
    for _ in 0..200 {
        let record = sampler.record(|_| 0.3, 1e6, 256, 1.0);
        let error = fit_ring_down(&[&record], 1e6, &RingDownOptions::default()).unwrap_err();
        assert!(matches!(error, FitError::NoSignal { .. }), "{error:?}");
    }
    let flat = [1.0_f32; 100];
    assert!(matches!(
        fit_ring_down(&[&flat], 1e6, &RingDownOptions::default()),
        Err(FitError::NoSignal { .. })
    ));
}

#[test]
fn a_carrier_that_goes_on_does_not_decay() {
    let record = Sampler::new(6).record(|t| (TAU * 125e3 * t).sin(), 1e6, 400, noise_rms(50.0));
    let error = fit_turn_off(&[&record], 1e6, DRIVE, &RingDownOptions::default()).unwrap_err();
    assert!(matches!(error, FitError::NotDecaying { .. }), "{error:?}");
    let error = fit_turn_on(&[&record], 1e6, DRIVE, &RingDownOptions::default()).unwrap_err();
    assert!(matches!(error, FitError::NoSignal { .. }), "{error:?}");
}

#[test]
fn hum_under_the_tail_is_taken_out() {
    let ring = turn_off(127e3, 20.0, 125e3, 0.4);
    let wave = |t: f64| ring(t) + (TAU * 50.0 * t + 0.3).sin();
    let record = Sampler::new(7).record(wave, 1e6, 400, noise_rms(40.0));
    let fit = fit_turn_off(&[&record], 1e6, DRIVE, &RingDownOptions::default()).unwrap();
    assert!(
        within(fit.ring.mode.q, 20.0) && within(fit.ring.mode.resonance_hz, 127e3),
        "{:?}",
        fit.ring.mode
    );
    assert!((fit.ring.snr_db - 40.0).abs() < 1.0, "{}", fit.ring.snr_db);
    // d/dt of the hum at the start: 2π 50 cos 0.3.
    assert!((fit.ring.records[0].drift_per_s / (TAU * 50.0 * 0.3_f64.cos()) - 1.0).abs() < 0.1);
}

#[test]
fn an_interfering_line_is_a_second_mode_that_does_not_decay() {
    let ring = turn_off(127e3, 20.0, 125e3, 0.4);
    let record = Sampler::new(8).record(
        |t| ring(t) + 0.2 * (TAU * 61.3e3 * t).sin(),
        1e6,
        400,
        noise_rms(45.0),
    );
    let fit = fit_turn_off(&[&record], 1e6, DRIVE, &RingDownOptions::default())
        .unwrap()
        .ring;
    assert!(within(fit.mode.q, 20.0), "{:?}", fit.mode);
    let line = fit.second.unwrap();
    assert!(
        (line.damped_hz.value - 61.3e3).abs() < 10.0 && line.q.value > 500.0,
        "{line:?}"
    );
}

#[test]
fn records_that_start_early_are_cut_or_explained() {
    // Up to two cycles of the steady carrier before the edge; a plain fit would be 5 % high in Q at one cycle.
    for early in [2.0, 4.0, 8.0, 16.0] {
        let tail = turn_off(127e3, 20.0, 125e3, 0.9);
        let wave = |t: f64| {
            let since = t - early * 1e-6;
            if since < 0.0 {
                -(TAU * 125e3 * since + 0.9).sin()
            } else {
                tail(since)
            }
        };
        let record = Sampler::new(9).record(wave, 1e6, 300, noise_rms(50.0));
        let fit = fit_turn_off(&[&record], 1e6, DRIVE, &RingDownOptions::default())
            .unwrap()
            .ring;
        assert!(
            (fit.mode.q.value / 20.0 - 1.0).abs() < 0.01,
            "{early}: {:?}",
            fit.mode
        );
        let cut = fit
            .warnings
            .iter()
            .any(|w| matches!(w, FitWarning::StartedEarly { .. }));
        assert!(cut || fit.second.is_some(), "{early}");
    }
}

#[test]
fn eight_bits_are_enough() {
    let step = 1.0 / 110.0;
    for q in [5.0, 12.0, 30.0] {
        let clean = Sampler::new(10).record(decay(125.3e3, q, 0.7), 1e6, 400, noise_rms(60.0));
        let record: Vec<f32> = clean
            .iter()
            .map(|x| (f64::from(*x) / step).round() as f32 * step as f32)
            .collect();
        let options = RingDownOptions {
            quantisation_step: step,
            ..RingDownOptions::default()
        };
        let fit = fit_ring_down(&[&record], 1e6, &options).unwrap();
        // The uniform quantiser's noise lets Q be known to 0.2 to 0.4 % (bound); without dither up to twice that was seen.
        assert!((fit.mode.q.value / q - 1.0).abs() < 0.01, "{:?}", fit.mode);
        assert!((fit.mode.resonance_hz.value / 125.3e3 - 1.0).abs() < 2e-3);
        assert!(fit.noise_rms >= step / 12_f64.sqrt());
    }
}

#[test]
fn the_drive_frequency_is_refined_where_it_is_uncertain() {
    let tail = turn_off(127e3, 20.0, 125.02e3, 0.4);
    let record = Sampler::new(11).record(
        |t| -(TAU * 125.02e3 * t + 0.4).sin() - tail(t),
        1e6,
        400,
        noise_rms(50.0),
    );
    let fit = fit_turn_on(
        &[&record],
        1e6,
        Estimate::new(125e3, 20.0),
        &RingDownOptions::default(),
    )
    .unwrap();
    assert!(
        within(fit.drive_hz, 125.02e3) && fit.drive_hz.std_dev < 1.0,
        "{:?}",
        fit.drive_hz
    );
    assert!(
        within(fit.ring.mode.q, 20.0) && within(fit.ring.mode.resonance_hz, 127e3),
        "{:?}",
        fit.ring.mode
    );
}

#[test]
fn folded_harmonics_of_a_square_drive_are_taken_out() {
    // At 1 MS/s the seventh harmonic of 125.037 kHz folds to 124.741 kHz, 296 Hz from the carrier.
    let transient = turn_on(127e3, 20.0, 125_037.0, 0.4);
    let harmonic = |order: f64, t: f64| (TAU * order * 125_037.0 * t + order).sin();
    let wave = |t: f64| {
        transient(t) + 0.2 * harmonic(3.0, t) + 0.1 * harmonic(5.0, t) + 0.1 * harmonic(7.0, t)
    };
    let record = Sampler::new(12).record(wave, 1e6, 400, noise_rms(50.0));
    let fit = fit_turn_on(
        &[&record],
        1e6,
        Estimate::new(125_037.0, 0.1),
        &RingDownOptions::default(),
    )
    .unwrap();
    assert!(
        within(fit.ring.mode.q, 20.0) && within(fit.ring.mode.resonance_hz, 127e3),
        "{:?}",
        fit.ring.mode
    );
    assert_eq!(fit.ring.goodness.residual, Residual::Noise);
}

#[test]
fn a_short_record_is_warned_of() {
    let record = Sampler::new(13).record(decay(125e3, 50.0, 0.2), 1e6, 120, noise_rms(50.0));
    let fit = fit_ring_down(&[&record], 1e6, &RingDownOptions::default()).unwrap();
    assert!(within(fit.mode.q, 50.0), "{:?}", fit.mode);
    assert!(
        matches!(fit.warnings[..], [FitWarning::ShortRecord { length_tau }] if (length_tau - 0.94).abs() < 0.05)
    );
}
