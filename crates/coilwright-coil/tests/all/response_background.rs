//! A slope of the background is fitted where the data show one, and only there.

use crate::signals::Gauss;
use coilwright_coil::{Background, ResponseFit, ResponseOptions, fit_response};
use num_complex::Complex64;

/// Seeded trials; a chance of 1 in 1000 happens five times or more in 2 of 1000 runs of them.
const TRIALS: u32 = 1000;
const POLE_HZ: f64 = 125e3;
const NOISE: f64 = 0.01;

fn fit(slope: Complex64, gauss: &mut Gauss, background: Background) -> ResponseFit {
    let f: Vec<f64> = (0..81).map(|n| 115e3 + 250.0 * f64::from(n)).collect();
    let values: Vec<Complex64> = f
        .iter()
        .map(|f| {
            let detuning = f / POLE_HZ - POLE_HZ / f;
            let noise = Complex64::new(gauss.real(), gauss.real());
            let background = Complex64::new(0.2, -0.1) + slope * (f / POLE_HZ - 1.0);
            background + Complex64::new(1.0, 20.0 * detuning).inv() + NOISE * noise
        })
        .collect();
    let options = ResponseOptions {
        background,
        ..ResponseOptions::default()
    };
    fit_response(&f, &values, &options).unwrap()
}

#[test]
fn a_slope_is_seldom_seen_where_there_is_none() {
    let mut gauss = Gauss::new(5);
    let seen = (0..TRIALS)
        .map(|_| fit(Complex64::ZERO, &mut gauss, Background::SlopeIfSeen))
        .filter(|fit| fit.background == Background::Sloped)
        .count();
    assert!(seen < 5, "{seen} of {TRIALS}");
}

#[test]
fn a_slope_that_shifts_the_resonance_is_taken_out() {
    let slope = Complex64::new(1.5, 2.0);
    let (mut gauss, mut same) = (Gauss::new(6), Gauss::new(6));
    let (mut held, mut plain_held) = (0, 0);
    for _ in 0..200 {
        let seen = fit(slope, &mut gauss, Background::SlopeIfSeen);
        assert_eq!(seen.background, Background::Sloped);
        let plain = fit(slope, &mut same, Background::Constant);
        assert_eq!(plain.background, Background::Constant);
        let within = |fit: &ResponseFit| {
            let off = (fit.resonance_hz.value - POLE_HZ).abs();
            u32::from(off < 1.96 * fit.resonance_hz.std_dev)
        };
        held += within(&seen);
        plain_held += within(&plain);
    }
    // 95 %, less four standard errors of 200 trials; without the slope the pole is off.
    assert!(held > 177, "{held} of 200");
    assert!(plain_held < 100, "{plain_held} of 200");
}
