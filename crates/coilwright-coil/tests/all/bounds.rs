//! The exact bound against closed forms.

use coilwright_coil::{BoundMode, BoundScene, damped_exponential_variance, mode_bounds};
use std::f64::consts::TAU;

fn scene(decay: f64, samples: usize) -> BoundScene {
    // One sample a second: radians per sample are those per second.
    let omega = 0.7_f64;
    let resonance_hz = omega.hypot(decay) / TAU;
    let q = omega.hypot(decay) / (2.0 * decay);
    let mode = BoundMode {
        resonance_hz,
        q,
        amplitude: 1.0,
        phase_rad: 0.0,
    };
    BoundScene {
        modes: vec![mode],
        lines_hz: vec![],
        sample_rate_hz: 1.0,
        samples,
        noise_rms: 0.1,
    }
}

#[test]
fn a_real_damped_sinusoid_has_twice_the_variance_of_the_complex_one() {
    for (decay, samples) in [(0.005, 256), (0.02, 256), (0.02, 1000)] {
        let bound = mode_bounds(&scene(decay, samples)).unwrap()[0];
        let complex = damped_exponential_variance(decay, samples, 1.0, 0.1);
        let ratio = (bound.resonance_hz * TAU).powi(2) / complex;
        // The image at −ω and the unknown DC add or take a few percent.
        assert!(
            (ratio / 2.0 - 1.0).abs() < 0.06,
            "{decay} {samples}: {ratio}"
        );
    }
}

#[test]
fn the_published_variance_of_a_real_damped_sinusoid() {
    // Numerical Fisher matrix outside this library, N = 256, A = 1, σ = 0.1, ω = 0.7, α = 0.005, DC known:
    // var ω 5.340042e-8, var α 5.315008e-8. The unknown DC adds below 1 %.
    let bound = mode_bounds(&scene(0.005, 256)).unwrap()[0];
    let ratio = (bound.resonance_hz * TAU).powi(2) / 5.340_042e-8;
    assert!((ratio - 1.0).abs() < 0.02, "{ratio}");
    // σ_Q/Q = √(var α/α² + var ω/ω²) to first order in 1/Q².
    let expected = (5.315_008e-8_f64 / 0.005_f64.powi(2) + 5.340_042e-8 / 0.49).sqrt();
    let found = bound.q / scene(0.005, 256).modes[0].q;
    assert!((found / expected - 1.0).abs() < 0.02, "{found} {expected}");
}

#[test]
fn the_bound_scales_with_noise_and_grows_with_nuisance() {
    let mut scene = scene(0.02, 300);
    let plain = mode_bounds(&scene).unwrap()[0];
    scene.noise_rms *= 3.0;
    let noisy = mode_bounds(&scene).unwrap()[0];
    assert!((noisy.q / plain.q - 3.0).abs() < 1e-9);
    scene.lines_hz.push(0.72 / TAU);
    assert!(mode_bounds(&scene).unwrap()[0].q > 1.05 * noisy.q);
    scene.lines_hz.push(0.72 / TAU);
    assert!(
        mode_bounds(&scene).is_none(),
        "two equal lines cannot be told apart"
    );
}
