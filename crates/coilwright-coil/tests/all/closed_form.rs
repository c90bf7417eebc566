//! Without noise the parameters that made the record come back, as far as f32 samples carry them.

use crate::signals::{clean, decay, turn_off, turn_on};
use coilwright_coil::{
    BoundMode, BoundScene, Estimate, ModeBound, RingDownOptions, TailFreedom, fit_ring_down,
    fit_turn_off, fit_turn_on, mode_bounds,
};

/// Rounding to f32 is at most half a unit in the last place of a sample near the peak: noise of 2⁻²⁴/√3 there, less later.
/// Six standard deviations of what such noise allows.
const SIX_SIGMA: f64 = 6.0;

fn rounding_bound(
    resonance_hz: f64,
    q: f64,
    sample_rate_hz: f64,
    samples: usize,
    peak: f64,
    lines: Vec<f64>,
) -> ModeBound {
    let mode = BoundMode {
        resonance_hz,
        q,
        amplitude: 1.0,
        phase_rad: 0.4,
    };
    let noise_rms = peak * 2_f64.powi(-24) / 3_f64.sqrt();
    let scene = BoundScene {
        modes: vec![mode],
        lines_hz: lines,
        sample_rate_hz,
        samples,
        noise_rms,
    };
    mode_bounds(&scene).unwrap()[0]
}

#[test]
fn a_free_decay_is_recovered_at_every_q_and_rate() {
    for sample_rate_hz in [500e3, 1e6, 2e6, 10e6] {
        for q in [3.0, 5.0, 10.0, 20.0, 50.0, 150.0] {
            let samples = (5.0 * q / (std::f64::consts::PI * 125e3) * sample_rate_hz) as usize;
            let ring = decay(125e3, q, 0.4);
            let record = clean(|t| 0.25 + ring(t), sample_rate_hz, samples);
            let fit =
                fit_ring_down(&[&record], sample_rate_hz, &RingDownOptions::default()).unwrap();
            let bound = rounding_bound(125e3, q, sample_rate_hz, samples, 1.25, vec![]);
            let (hz, error_q) = (fit.mode.resonance_hz.value - 125e3, fit.mode.q.value - q);
            assert!(
                hz.abs() < SIX_SIGMA * bound.resonance_hz,
                "Q {q}, {sample_rate_hz}: {hz} Hz, {bound:?}"
            );
            assert!(
                error_q.abs() < SIX_SIGMA * bound.q,
                "Q {q}, {sample_rate_hz}: {error_q}, {bound:?}"
            );
            assert!(fit.second.is_none());
            assert!((fit.records[0].dc - 0.25).abs() < 1e-6);
        }
    }
}

#[test]
fn the_resonance_is_exact_to_a_part_in_a_thousand_million() {
    let record = clean(decay(127e3, 20.0, 1.1), 1e6, 400);
    let fit = fit_ring_down(&[&record], 1e6, &RingDownOptions::default()).unwrap();
    assert!(
        (fit.mode.resonance_hz.value / 127e3 - 1.0).abs() < 1e-9,
        "{:?}",
        fit.mode
    );
}

#[test]
fn undamped_damped_decay_and_q_belong_together() {
    let fit = fit_ring_down(
        &[&clean(decay(125e3, 3.0, 0.0), 2e6, 200)],
        2e6,
        &RingDownOptions::default(),
    )
    .unwrap();
    // f_d/f₀ = √(1 − 1/4Q²): 1.4 % at Q 3.
    assert!((fit.mode.damped_hz.value / 125e3 - (1.0 - 1.0 / 36.0_f64).sqrt()).abs() < 1e-7);
    // α = ω₀/2Q
    assert!((fit.mode.decay_per_s.value - std::f64::consts::TAU * 125e3 / 6.0).abs() < 0.1);
    assert!((fit.mode.time_constant_s() * fit.mode.decay_per_s.value - 1.0).abs() < 1e-12);
}

#[test]
fn both_edges_of_a_driven_ring_give_its_pole() {
    let drive = Estimate::new(125e3, 0.0);
    for (resonance_hz, q) in [(125e3, 20.0), (127e3, 12.0), (117e3, 5.0), (140e3, 50.0)] {
        let samples = ((8.0 * q / (std::f64::consts::PI * resonance_hz) * 1e6) as usize).max(60);
        for phase in [0.0, 0.7, 2.9] {
            let off = clean(turn_off(resonance_hz, q, 125e3, phase), 1e6, samples);
            let on = clean(turn_on(resonance_hz, q, 125e3, phase), 1e6, samples);
            let tail = fit_turn_off(&[&off], 1e6, drive, &RingDownOptions::default()).unwrap();
            let rise = fit_turn_on(&[&on], 1e6, drive, &RingDownOptions::default()).unwrap();
            assert_eq!(tail.freedom, TailFreedom::Free);
            assert!((rise.steady_amplitude - 1.0).abs() < 1e-6, "{rise:?}");
            let bound = rounding_bound(resonance_hz, q, 1e6, samples, 2.0, vec![125e3]);
            for mode in [tail.ring.mode, rise.ring.mode] {
                assert!(
                    (mode.resonance_hz.value - resonance_hz).abs() < SIX_SIGMA * bound.resonance_hz,
                    "{mode:?}"
                );
                assert!((mode.q.value - q).abs() < SIX_SIGMA * bound.q, "{mode:?}");
            }
        }
    }
}

#[test]
fn two_modes_are_recovered_together() {
    let (ring, key) = (decay(127e3, 20.0, 0.4), decay(123.4e3, 35.0, 2.0));
    let record = clean(|t| ring(t) + 0.1 * key(t), 1e6, 500);
    let fit = fit_ring_down(&[&record], 1e6, &RingDownOptions::default()).unwrap();
    let second = fit.second.expect("the residual of one mode is no noise");
    // Close modes: the bound of the pair is about a hundred times that of one.
    assert!(
        (fit.mode.resonance_hz.value - 127e3).abs() < 0.05,
        "{:?}",
        fit.mode
    );
    assert!((fit.mode.q.value - 20.0).abs() < 1e-4);
    assert!(
        (second.resonance_hz.value - 123.4e3).abs() < 0.5,
        "{second:?}"
    );
    assert!((second.q.value - 35.0).abs() < 1e-2);
    assert!((second.amplitude - 0.1).abs() < 1e-4);
}

#[test]
fn the_fitted_curve_is_the_record() {
    let wave = turn_on(127e3, 20.0, 125e3, 0.3);
    let record = clean(&wave, 1e6, 300);
    let fit = fit_turn_on(
        &[&record],
        1e6,
        Estimate::new(125e3, 0.0),
        &RingDownOptions::default(),
    )
    .unwrap();
    for n in [0, 50, 299] {
        let t = f64::from(n) * 1e-6;
        assert!((fit.ring.records[0].at(t) - wave(t)).abs() < 1e-6);
    }
}

#[test]
fn an_undersampled_ring_is_given_at_its_true_frequency() {
    // 125 kHz at 192 kS/s is seen inverted at 67 kHz; at 96 kS/s upright at 29 kHz.
    for sample_rate_hz in [192e3, 96e3] {
        let drive = Estimate::new(125e3, 0.0);
        let off = clean(turn_off(127e3, 30.0, 125e3, 0.3), sample_rate_hz, 120);
        let on = clean(turn_on(127e3, 30.0, 125e3, 0.3), sample_rate_hz, 120);
        let tail = fit_turn_off(&[&off], sample_rate_hz, drive, &RingDownOptions::default())
            .unwrap()
            .ring
            .mode;
        let rise = fit_turn_on(&[&on], sample_rate_hz, drive, &RingDownOptions::default())
            .unwrap()
            .ring
            .mode;
        for mode in [tail, rise] {
            assert!(
                (mode.resonance_hz.value - 127e3).abs() < 1e-2,
                "{sample_rate_hz}: {mode:?}"
            );
            assert!(
                (mode.q.value - 30.0).abs() < 1e-4,
                "{sample_rate_hz}: {mode:?}"
            );
        }
    }
}

#[test]
fn records_of_different_length_share_one_pole() {
    let records: Vec<Vec<f32>> = [(0.1, 200), (1.3, 350), (2.2, 120)]
        .iter()
        .map(|&(phase, samples)| clean(turn_off(126e3, 15.0, 125e3, phase), 1e6, samples))
        .collect();
    let views: Vec<&[f32]> = records.iter().map(Vec::as_slice).collect();
    let fit = fit_ring_down(&views, 1e6, &RingDownOptions::default()).unwrap();
    assert!((fit.mode.resonance_hz.value - 126e3).abs() < 1e-3);
    assert!((fit.mode.q.value - 15.0).abs() < 1e-6);
    assert_eq!(fit.records.len(), 3);
}
