//! Values from outside this library.

use crate::signals::clean;
use coilwright_coil::{RingDownOptions, fit_ring_down};

const TABLE: &str = include_str!("../../../../testdata/published/resonance/series_ring_125khz.csv");

/// The table has nine digits; a decay made from them carries an error of up to 5e-9 of α and, in the damped frequency, of 5e-10.
const NINE_DIGITS: f64 = 1e-8;
/// What f32 samples add at Q 5 to 100 over 8 τ.
const ROUNDING: f64 = 1e-7;

#[test]
fn decays_made_from_the_table_return_its_q() {
    let mut rows = 0;
    for line in TABLE.lines().skip(1) {
        let value: Vec<f64> = line.split(',').map(|v| v.parse().unwrap()).collect();
        let &[q, tau_us, decrement, _, ratio, damped, bandwidth_hz, ..] = value.as_slice() else {
            panic!("columns of the table: {line}")
        };
        let omega = std::f64::consts::TAU * 125e3 * damped;
        let samples = (8.0 * tau_us * 2.0) as usize;
        let record = clean(
            |t| (-t / (tau_us * 1e-6)).exp() * (omega * t + 0.6).cos(),
            2e6,
            samples,
        );
        let mode = fit_ring_down(&[&record], 2e6, &RingDownOptions::default())
            .unwrap()
            .mode;
        assert!(
            (mode.resonance_hz.value / 125e3 - 1.0).abs() < NINE_DIGITS + ROUNDING,
            "{line}: {mode:?}"
        );
        assert!(
            (mode.q.value / q - 1.0).abs() < NINE_DIGITS + ROUNDING,
            "{line}: {mode:?}"
        );
        assert!(
            (mode.resonance_hz.value / mode.q.value / bandwidth_hz - 1.0).abs()
                < NINE_DIGITS + ROUNDING
        );
        let cycle_nepers = mode.decay_per_s.value / mode.damped_hz.value;
        assert!(
            ((-cycle_nepers).exp() - ratio).abs() < NINE_DIGITS + ROUNDING,
            "{line}"
        );
        // The third column is the decrement to first order.
        assert!((std::f64::consts::PI / q - decrement).abs() < 1e-8);
        rows += 1;
    }
    assert_eq!(rows, 7);
}

#[test]
fn a_simulated_circuit_rings_as_in_ngspice() {
    // ngspice 39.3, transient of L = 1.62 mH, R = 40 Ω, C = 1.0007 nF: ten periods take 80.0114 µs (theory 80.0098, its step
    // makes 2e-5 of it), and fall to 0.37241 (theory 0.37240). Here the same circuit is integrated by Runge–Kutta.
    let (inductance, resistance, capacitance) = (1.62e-3, 40.0, 1.0007e-9);
    let record = integrate(inductance, resistance, capacitance, 1e6, 800);
    let mode = fit_ring_down(&[&record], 1e6, &RingDownOptions::default())
        .unwrap()
        .mode;
    let ten_periods_us = 1e7 / mode.damped_hz.value;
    assert!((ten_periods_us - 80.0098).abs() < 1e-4, "{ten_periods_us}");
    assert!(
        (ten_periods_us / 80.0114 - 1.0).abs() < 3e-5,
        "{ten_periods_us}"
    );
    let ratio = (-mode.decay_per_s.value * 1e-6 * ten_periods_us).exp();
    assert!((ratio - 0.37241).abs() < 2e-5, "{ratio}");
    // f0 125 000.19 Hz, Q 31.8087, f_d 124 984.75 Hz, from the same source.
    assert!(
        (mode.resonance_hz.value - 125_000.19).abs() < 0.02,
        "{mode:?}"
    );
    assert!((mode.q.value - 31.8087).abs() < 2e-4, "{mode:?}");
    assert!((mode.damped_hz.value - 124_984.75).abs() < 0.02, "{mode:?}");
}

/// Voltage of the capacitor of a series circuit that starts charged to 1 V, by fourth-order Runge–Kutta with 40 steps a sample.
fn integrate(
    inductance: f64,
    resistance: f64,
    capacitance: f64,
    sample_rate_hz: f64,
    samples: usize,
) -> Vec<f32> {
    const STEPS: usize = 40;
    let h = 1.0 / (sample_rate_hz * STEPS as f64);
    let slope = |(u, i): (f64, f64)| (i / capacitance, -(u + resistance * i) / inductance);
    let along = |(u, i): (f64, f64), (du, di): (f64, f64), h: f64| (u + h * du, i + h * di);
    let mut state = (1.0, 0.0);
    let mut record = Vec::new();
    for _ in 0..samples {
        record.push(state.0 as f32);
        for _ in 0..STEPS {
            let first = slope(state);
            let second = slope(along(state, first, 0.5 * h));
            let third = slope(along(state, second, 0.5 * h));
            let fourth = slope(along(state, third, h));
            let mean = |a: f64, b: f64, c: f64, d: f64| (a + 2.0 * b + 2.0 * c + d) / 6.0;
            let whole = (
                mean(first.0, second.0, third.0, fourth.0),
                mean(first.1, second.1, third.1, fourth.1),
            );
            state = along(state, whole, h);
        }
    }
    record
}
