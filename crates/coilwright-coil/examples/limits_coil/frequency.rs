//! Sweeps, circles and impedances against a Fisher matrix of numerical derivatives.

use coilwright_coil::{
    Background, Connection, Estimate, ImpedanceOptions, ResponseOptions, SweepOptions,
    fit_amplitude_sweep, fit_coil, fit_q_circle, fit_response, fit_series_ring,
};
use nalgebra::DMatrix;
use num_complex::Complex64;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::TAU;

pub(crate) type Random = ChaCha8Rng;

pub(crate) fn normal(random: &mut Random) -> f64 {
    StandardNormal.sample(random)
}

fn complex(random: &mut Random) -> Complex64 {
    Complex64::new(normal(random), normal(random))
}

pub(crate) fn grid(low_hz: f64, high_hz: f64, points: usize) -> Vec<f64> {
    (0..points)
        .map(|n| low_hz + (high_hz - low_hz) * n as f64 / (points - 1) as f64)
        .collect()
}

pub(crate) fn resonance(f: f64, resonance_hz: f64, q: f64) -> Complex64 {
    Complex64::new(1.0, q * (f / resonance_hz - resonance_hz / f)).inv()
}

/// Bounds of the parameters from central differences of a real-valued model.
pub(crate) fn bounds(
    truth: &[f64],
    noise: impl Fn(usize) -> f64,
    model: impl Fn(&[f64]) -> Vec<f64>,
) -> Vec<f64> {
    let slopes: Vec<Vec<f64>> = (0..truth.len())
        .map(|k| {
            let step = 1e-6 * truth[k].abs().max(1e-3);
            let at = |sign: f64| {
                let mut moved = truth.to_vec();
                moved[k] += sign * step;
                model(&moved)
            };
            at(1.0)
                .iter()
                .zip(at(-1.0))
                .enumerate()
                .map(|(n, (a, b))| (a - b) / (2.0 * step) / noise(n))
                .collect()
        })
        .collect();
    let size: Vec<f64> = slopes
        .iter()
        .map(|s| s.iter().map(|v| v * v).sum::<f64>().sqrt())
        .collect();
    let fisher = DMatrix::from_fn(truth.len(), truth.len(), |i, j| {
        slopes[i]
            .iter()
            .zip(&slopes[j])
            .map(|(a, b)| a * b)
            .sum::<f64>()
            / (size[i] * size[j])
    });
    let inverse = fisher
        .cholesky()
        .expect("parameters that can be told apart")
        .inverse();
    (0..truth.len())
        .map(|k| inverse[(k, k)].sqrt() / size[k])
        .collect()
}

fn first_two(bounds: &[f64]) -> [f64; 2] {
    [bounds[0], bounds[1]]
}

fn parts(values: impl Iterator<Item = Complex64>) -> Vec<f64> {
    values.flat_map(|v| [v.re, v.im]).collect()
}

fn row(
    name: &str,
    truth: [f64; 2],
    bounds: Option<[f64; 2]>,
    trials: usize,
    seed: u64,
    mut fit: impl FnMut(&mut Random) -> Option<[Estimate; 2]>,
) {
    let mut random = Random::seed_from_u64(seed);
    let (mut squares, mut covered, mut used) = ([0.0; 2], 0.0, 0.0);
    for _ in 0..trials {
        let Some(found) = fit(&mut random) else {
            continue;
        };
        used += 1.0;
        for k in 0..2 {
            let error = found[k].value - truth[k];
            squares[k] += (error / bounds.map_or(found[k].std_dev, |b| b[k])).powi(2);
            covered += 0.5 * f64::from(u8::from(error.abs() < 1.96 * found[k].std_dev));
        }
    }
    let [first, second] = squares.map(|s: f64| (s / used).sqrt());
    let over = if bounds.is_some() {
        "bound"
    } else {
        "stated deviation"
    };
    println!(
        "| {name} | {first:.2} / {second:.2} | {over} | {:.1} | {} |",
        100.0 * covered / used,
        trials - used as usize
    );
}

pub(crate) fn tables(trials: usize, seed: u64) {
    println!(
        "\n## In frequency\n\nErrors of the two parameters over the bound (Fisher matrix by numerical differences), and intervals that held.\n"
    );
    println!("| measurement | ratios | over | held, % | without a result |\n|---|---|---|---|---|");
    for q in [8.0, 30.0, 100.0] {
        sweeps(q, trials, seed ^ q as u64);
    }
    circle(trials, seed + 1);
    impedances(trials, seed + 2);
}

fn sweeps(q: f64, trials: usize, seed: u64) {
    let half = 3.0 / q * 62.5e3;
    let f = grid(125e3 - half, 125e3 + half, 101);
    let model = |p: &[f64]| {
        parts(f.iter().map(|&f| {
            let position = (f - 125e3) / half;
            Complex64::new(p[2], p[3]) * resonance(f, p[0], p[1])
                + Complex64::new(p[4], p[5])
                + Complex64::new(p[6], p[7]) * position
        }))
    };
    let truth = [125e3, q, 0.9, 0.2, 0.2, -0.1, 0.05, 0.02];
    let noise = 0.01;
    let clean = model(&truth);
    let options = ResponseOptions {
        background: Background::Sloped,
        ..ResponseOptions::default()
    };
    row(
        &format!("complex sweep, Q {q}, sloping background: f0 / Q"),
        [125e3, q],
        Some(first_two(&bounds(&truth, |_| noise, model))),
        trials,
        seed,
        |random| {
            let s: Vec<Complex64> = clean
                .as_chunks::<2>()
                .0
                .iter()
                .map(|&[re, im]| Complex64::new(re, im) + noise * complex(random))
                .collect();
            fit_response(&f, &s, &options)
                .ok()
                .map(|fit| [fit.resonance_hz, fit.q])
        },
    );
    for (name, direct) in [
        ("peak", Complex64::new(0.0, 0.0)),
        ("dip", Complex64::new(-1.4, 0.0)),
        ("peak and dip", Complex64::new(0.0, 0.6)),
    ] {
        let clean: Vec<f64> = f
            .iter()
            .map(|&f| (resonance(f, 125e3, q) + direct).norm())
            .collect();
        let amplitude = |p: &[f64]| -> Vec<f64> {
            let shape = |f: f64| resonance(f, p[0], p[1]) * p[2];
            f.iter()
                .map(|&f| {
                    if p.len() == 3 {
                        shape(f).norm()
                    } else if p.len() == 4 {
                        (shape(f) + p[3]).norm()
                    } else {
                        (shape(f) + Complex64::new(p[3], p[4])).norm()
                    }
                })
                .collect()
        };
        let truth = match name {
            "peak" => vec![125e3, q, 1.0],
            "dip" => vec![125e3, q, 1.0, -1.4],
            _ => vec![125e3, q, 1.0, 0.0, 0.6],
        };
        row(
            &format!("amplitude sweep, Q {q}, {name}: f0 / Q"),
            [125e3, q],
            Some(first_two(&bounds(&truth, |_| noise, amplitude))),
            trials,
            seed + 7,
            |random| {
                let a: Vec<f64> = clean
                    .iter()
                    .map(|a| (a + noise * normal(random)).abs())
                    .collect();
                fit_amplitude_sweep(&f, &a, &SweepOptions::default())
                    .ok()
                    .map(|fit| [fit.resonance_hz, fit.q])
            },
        );
    }
}

fn circle(trials: usize, seed: u64) {
    let f = grid(115e3, 135e3, 201);
    let ring = |f: f64| {
        let w = TAU * f;
        let z = Complex64::new(40.0, w * 1.62e-3 - (w * 1.0007e-9).recip());
        (z - 50.0) / (z + 50.0)
    };
    let truth = [(TAU * (1.62e-3_f64 * 1.0007e-9).sqrt()).recip(), 31.8087];
    row(
        "reflection of a series ring in 50 Ω, noise 1e-3: f0 / unloaded Q",
        truth,
        None,
        trials,
        seed,
        |random| {
            let s: Vec<Complex64> = f
                .iter()
                .map(|&f| ring(f) + 1e-3 * complex(random))
                .collect();
            let fit =
                fit_q_circle(&f, &s, Connection::Reflection, &ResponseOptions::default()).ok()?;
            Some([fit.response.resonance_hz, fit.unloaded_q])
        },
    );
}

fn impedances(trials: usize, seed: u64) {
    let f = grid(10e3, 600e3, 60);
    let coil = |f: f64, p: &[f64]| {
        let w = TAU * f;
        let series = Complex64::new(p[2], w * p[0] * 1e-3);
        series / (1.0 + Complex64::new(0.0, w * p[1] * 1e-12) * series)
    };
    let truth = [0.8, 22.0, 9.0];
    let magnitude: Vec<f64> = f.iter().map(|&f| coil(f, &truth).norm()).collect();
    let bound = bounds(
        &truth,
        |n| 1e-3 * magnitude[n / 2],
        |p| parts(f.iter().map(|&f| coil(f, p))),
    );
    row(
        "impedance of a coil, 0.1 % of |Z|: L / self-capacitance",
        [0.8e-3, 22e-12],
        Some([bound[0] * 1e-3, bound[1] * 1e-12]),
        trials,
        seed,
        |random| {
            let z: Vec<Complex64> = f
                .iter()
                .map(|&f| coil(f, &truth) * (1.0 + 1e-3 * complex(random)))
                .collect();
            let fit = fit_coil(&f, &z, &ImpedanceOptions::default()).ok()?;
            Some([fit.inductance_henry, fit.capacitance_farad?])
        },
    );
    let f = grid(110e3, 140e3, 31);
    let ring = |f: f64, p: &[f64]| Complex64::new(1.0, p[1] * (f / p[0] - p[0] / f)) * p[2];
    let truth = [125e3, 31.8, 40.0];
    let magnitude: Vec<f64> = f.iter().map(|&f| ring(f, &truth).norm()).collect();
    let bound = bounds(
        &truth,
        |n| 2e-3 * magnitude[n / 2],
        |p| parts(f.iter().map(|&f| ring(f, p))),
    );
    row(
        "impedance of a series ring, 0.2 % of |Z|: f0 / Q",
        [125e3, 31.8],
        Some(first_two(&bound)),
        trials,
        seed + 1,
        |random| {
            let z: Vec<Complex64> = f
                .iter()
                .map(|&f| ring(f, &truth) * (1.0 + 2e-3 * complex(random)))
                .collect();
            let fit = fit_series_ring(&f, &z, &ImpedanceOptions::default()).ok()?;
            Some([fit.resonance_hz, fit.q])
        },
    );
}
