//! A second implementation that shares nothing with the first: Nelder and Mead's simplex on the plain likelihood.

use crate::signals::{Sampler, decay, noise_rms, turn_on};
use coilwright_coil::{Estimate, RingDownOptions, fit_ring_down, fit_turn_on};
use nalgebra::{DMatrix, DVector};
use std::f64::consts::TAU;

/// The simplex stops within this part of a standard deviation of the optimum.
const AGREEMENT_SIGMA: f64 = 0.01;

/// Least squares of damped cosine, damped sine, DC and the drive's lines, by an orthogonal decomposition.
fn squares(
    record: &[f32],
    sample_rate_hz: f64,
    lines_hz: &[f64],
    damped_hz: f64,
    decay_per_s: f64,
) -> f64 {
    let columns = 3 + 2 * lines_hz.len();
    let basis = DMatrix::from_fn(record.len(), columns, |n, column| {
        let t = n as f64 / sample_rate_hz;
        let quadrature = |angle: f64, odd: usize| if odd == 0 { angle.cos() } else { angle.sin() };
        match column {
            0 => 1.0,
            1 | 2 => (-decay_per_s * t).exp() * quadrature(TAU * damped_hz * t, column - 1),
            _ => quadrature(TAU * lines_hz[(column - 3) / 2] * t, (column - 3) % 2),
        }
    });
    let data = DVector::from_iterator(record.len(), record.iter().map(|&x| f64::from(x)));
    let q = basis.qr().q();
    (&data - &q * (q.transpose() * &data)).norm_squared()
}

/// Nelder and Mead's simplex in two dimensions.
fn simplex(mut points: [[f64; 2]; 3], f: impl Fn([f64; 2]) -> f64) -> [f64; 2] {
    for _ in 0..300 {
        points.sort_by(|a, b| f(*a).total_cmp(&f(*b)));
        let middle = [
            0.5 * (points[0][0] + points[1][0]),
            0.5 * (points[0][1] + points[1][1]),
        ];
        let along = |k: f64| [0, 1].map(|i| middle[i] + k * (points[2][i] - middle[i]));
        let (reflected, expanded, contracted) = (along(-1.0), along(-2.0), along(0.5));
        if f(reflected) < f(points[0]) {
            points[2] = if f(expanded) < f(reflected) {
                expanded
            } else {
                reflected
            };
        } else if f(reflected) < f(points[1]) {
            points[2] = reflected;
        } else if f(contracted) < f(points[2]) {
            points[2] = contracted;
        } else {
            for k in 1..3 {
                points[k] = [0, 1].map(|i| 0.5 * (points[k][i] + points[0][i]));
            }
        }
    }
    points[0]
}

fn compare(record: &[f32], lines_hz: &[f64], damped_hz: Estimate, decay_per_s: Estimate) {
    let [hz, nepers] = simplex(
        [[124e3, 15e3], [130e3, 17e3], [126e3, 30e3]],
        |[hz, nepers]| squares(record, 1e6, lines_hz, hz, nepers),
    );
    assert!(
        (damped_hz.value - hz).abs() < AGREEMENT_SIGMA * damped_hz.std_dev,
        "{damped_hz:?} {hz}"
    );
    assert!(
        (decay_per_s.value - nepers).abs() < AGREEMENT_SIGMA * decay_per_s.std_dev,
        "{decay_per_s:?} {nepers}"
    );
}

#[test]
fn the_free_decay_is_at_the_same_optimum() {
    for seed in 0..3 {
        let record = Sampler::new(seed).record(decay(127e3, 18.0, 0.5), 1e6, 250, noise_rms(30.0));
        let mode = fit_ring_down(&[&record], 1e6, &RingDownOptions::default())
            .unwrap()
            .mode;
        compare(&record, &[], mode.damped_hz, mode.decay_per_s);
    }
}

#[test]
fn the_turn_on_edge_is_at_the_same_optimum() {
    let record =
        Sampler::new(9).record(turn_on(128e3, 18.0, 125e3, 0.8), 1e6, 300, noise_rms(35.0));
    let fit = fit_turn_on(
        &[&record],
        1e6,
        Estimate::new(125e3, 0.0),
        &RingDownOptions::default(),
    )
    .unwrap();
    compare(
        &record,
        &[125e3],
        fit.ring.mode.damped_hz,
        fit.ring.mode.decay_per_s,
    );
}
