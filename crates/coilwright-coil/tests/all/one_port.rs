//! What a port is connected to: rings alone and beside lossy loops, rings that resonate elsewhere, coils, shorts.

use crate::signals::Gauss;
use coilwright_coil::{
    Estimate, FitError, ImpedanceNoise, ImpedanceOptions, OnePort, ReflectionOptions, fit_one_port,
    fit_series_ring,
};
use num_complex::Complex64;
use std::f64::consts::TAU;

const PORT_OHM: f64 = 50.0;
const NOISE: f64 = 1e-3;

/// A series ring with a loop of coupling k² and a corner beside it: `ω²M²/(R₂ + jωL₂)`.
#[derive(Clone, Copy)]
struct Ring {
    ohm: f64,
    henry: f64,
    farad: f64,
    coupling: f64,
    corner_hz: f64,
}

const RING: Ring = Ring {
    ohm: 40.0,
    henry: 1.62e-3,
    farad: 1e-9,
    coupling: 0.0,
    corner_hz: 1.0,
};

impl Ring {
    fn coil(self, f: f64) -> Complex64 {
        let w = TAU * f;
        let looped = w * w * self.coupling * self.henry / Complex64::new(TAU * self.corner_hz, w);
        Complex64::new(self.ohm, w * self.henry) + looped
    }

    fn at(self, f: f64) -> Complex64 {
        self.coil(f) - Complex64::new(0.0, (TAU * f * self.farad).recip())
    }
}

fn grid(low_hz: f64, high_hz: f64) -> Vec<f64> {
    (0..401)
        .map(|n| low_hz + (high_hz - low_hz) * f64::from(n) / 400.0)
        .collect()
}

fn reflection(f: &[f64], gauss: &mut Gauss, at: impl Fn(f64) -> Complex64) -> Vec<Complex64> {
    f.iter()
        .map(|&f| {
            let z = at(f);
            (z - PORT_OHM) / (z + PORT_OHM) + NOISE * Complex64::new(gauss.real(), gauss.real())
        })
        .collect()
}

fn fit(f: &[f64], gauss: &mut Gauss, at: impl Fn(f64) -> Complex64) -> Result<OnePort, FitError> {
    let reflection = reflection(f, gauss, at);
    fit_one_port(f, &reflection, PORT_OHM, &ReflectionOptions::default())
}

fn within(found: Estimate, truth: f64) -> bool {
    (found.value - truth).abs() < 4.0 * found.std_dev && found.std_dev < 0.05 * truth
}

#[test]
fn a_loop_beside_a_ring_is_told_from_the_table_alone() {
    let ring = Ring {
        coupling: 0.2,
        corner_hz: 90e3,
        ..RING
    };
    let f = grid(40e3, 400e3);
    let z: Vec<Complex64> = f.iter().map(|&f| ring.at(f)).collect();
    let options = ImpedanceOptions {
        noise: ImpedanceNoise::Proportional,
        reference_hz: Some(125e3),
    };
    let fit = fit_series_ring(&f, &z, &options).unwrap();
    let near = |found: Estimate, truth: f64| (found.value / truth - 1.0).abs() < 1e-6;
    assert!(near(fit.loop_coupling.unwrap(), 0.2));
    assert!(near(fit.loop_corner_hz.unwrap(), 90e3));
    let coil = ring.coil(125e3);
    assert!(near(fit.resistance_ohm, coil.re));
    assert!(near(fit.inductance_henry, coil.im / (TAU * 125e3)));
    assert!(near(fit.capacitance_farad, 1e-9));
    // The reactance is zero there, and Q is its slope's, by a difference.
    let f0 = fit.resonance_hz.value;
    assert!(ring.at(f0).im.abs() < 1e-3);
    let slope = (ring.at(f0 + 1.0).im - ring.at(f0 - 1.0).im) / 2.0;
    assert!(near(fit.q, f0 * slope / (2.0 * ring.at(f0).re)));
    // Without a loop there is none, and all is as it was.
    let z: Vec<Complex64> = f.iter().map(|&f| RING.at(f)).collect();
    let plain = fit_series_ring(&f, &z, &options).unwrap();
    assert!(plain.loop_coupling.is_none());
    assert!(near(plain.q, (1.62e-3_f64 / 1e-9).sqrt() / 40.0));
    assert!(near(plain.inductance_henry, 1.62e-3) && near(plain.resistance_ohm, 40.0));
}

#[test]
fn a_ring_with_shorted_turns_at_a_port_keeps_its_capacitor() {
    let ring = Ring {
        coupling: 0.35,
        corner_hz: 60e3,
        ..RING
    };
    let f = grid(40e3, 500e3);
    let mut gauss = Gauss::new(21);
    for _ in 0..20 {
        let OnePort::Ring { series, .. } = fit(&f, &mut gauss, |f| ring.at(f)).unwrap() else {
            panic!("no ring");
        };
        let parts = series.unwrap();
        let coil = ring.coil(parts.reference_hz);
        let henry = coil.im / (TAU * parts.reference_hz);
        assert!(
            within(parts.capacitance_farad, 1e-9),
            "{:?}",
            parts.capacitance_farad
        );
        assert!(
            within(parts.inductance_henry, henry),
            "{:?}",
            parts.inductance_henry
        );
        assert!(
            within(parts.resistance_ohm, coil.re),
            "{:?}",
            parts.resistance_ohm
        );
    }
}

#[test]
fn a_ring_that_resonates_outside_the_sweep_is_told_by_its_flank() {
    let mut gauss = Gauss::new(22);
    let high = Ring {
        henry: 60e-6,
        ohm: 12.0,
        ..RING
    };
    let OnePort::Flank(parts) = fit(&grid(40e3, 400e3), &mut gauss, |f| high.at(f)).unwrap() else {
        panic!("no flank");
    };
    assert!(within(parts.inductance_henry, 60e-6) && within(parts.capacitance_farad, 1e-9));
    let resonance_hz = (TAU * (60e-6_f64 * 1e-9).sqrt()).recip();
    assert!((parts.resonance_hz.value / resonance_hz - 1.0).abs() < 0.01);

    // A coil by itself is none, nor is a cable.
    let coil = |f: f64| Complex64::new(15.0, TAU * f * 50e-6);
    let found = fit(&grid(40e3, 400e3), &mut gauss, coil);
    assert!(matches!(found, Ok(OnePort::Coil(_))), "{found:?}");
    let cable = |f: f64| Complex64::new(1.0, -(TAU * f * 40e-12).recip());
    let found = fit(&grid(40e3, 400e3), &mut gauss, cable);
    assert!(
        matches!(found, Err(FitError::OpenCircuit { .. })),
        "{found:?}"
    );
}
