//! Sweeps of amplitudes with a term that the noise nearly hides.

use crate::frequency::{Random, bounds, grid, normal, resonance};
use coilwright_coil::{SweepOptions, fit_amplitude_sweep};
use num_complex::Complex64;
use rand::SeedableRng;

const RESONANCE_HZ: f64 = 125e3;
const NOISE: f64 = 0.01;

/// A curve of f₀, Q, amplitude and the level's root, and how a term changes it.
struct Case {
    name: &'static str,
    direct: f64,
    /// Power at a detuning over the half width and a place between −1 and 1, for one unit of the term.
    term: fn(f64, f64) -> f64,
}

const CASES: [Case; 4] = [
    Case {
        name: "peak, interference",
        direct: 0.3,
        term: |x, _| x / (1.0 + x * x),
    },
    Case {
        name: "dip, interference",
        direct: -1.4,
        term: |x, _| x / (1.0 + x * x),
    },
    Case {
        name: "peak, slope",
        direct: 0.3,
        term: |_, place| place,
    },
    Case {
        name: "dip, slope",
        direct: -1.4,
        term: |_, place| place,
    },
];

pub(crate) fn table(trials: usize, seed: u64) {
    println!(
        "\n## Amplitude sweeps with a term that the noise nearly hides\n\n\
         A peak over a level of 0.3, a dip of 1 in 1.4, and interference or a slope of so many standard deviations.\n\
         f0 / Q over the bound of an estimator that fits the term, and intervals that held (f0 and Q), %.\n"
    );
    println!("| curve, term | deviations | Q 8 | Q 30 | Q 100 |\n|---|---|---|---|---|");
    for (n, case) in CASES.iter().enumerate() {
        for size in [0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 10.0] {
            let cells: Vec<String> = [8.0, 30.0, 100.0]
                .iter()
                .map(|&q| cell(case, size, q, trials, seed ^ (1000 * n as u64 + q as u64)))
                .collect();
            println!("| {} | {size} | {} |", case.name, cells.join(" | "));
        }
    }
}

fn cell(case: &Case, size: f64, q: f64, trials: usize, seed: u64) -> String {
    let half = 3.0 / q * 0.5 * RESONANCE_HZ;
    let f = grid(RESONANCE_HZ - half, RESONANCE_HZ + half, 101);
    let curve = |p: &[f64]| -> Vec<f64> {
        f.iter()
            .map(|&f| {
                let ring = p[2] * resonance(f, p[0], p[1]);
                let x = p[1] * (f / p[0] - p[0] / f);
                let term = p[4] * (case.term)(x, (f - RESONANCE_HZ) / half);
                ((ring + Complex64::new(p[3], 0.0)).norm_sqr() + term).sqrt()
            })
            .collect()
    };
    let mut truth = [RESONANCE_HZ, q, 1.0, case.direct, 0.0];
    truth[4] = size * bounds(&truth, |_| NOISE, curve)[4];
    let bound = bounds(&truth, |_| NOISE, curve);
    let clean = curve(&truth);
    let mut random = Random::seed_from_u64(seed);
    let (mut squares, mut held, mut used) = ([0.0; 2], [0.0; 2], 0.0);
    for _ in 0..trials {
        let noisy: Vec<f64> = clean
            .iter()
            .map(|a| (a + NOISE * normal(&mut random)).abs())
            .collect();
        let Ok(fit) = fit_amplitude_sweep(&f, &noisy, &SweepOptions::default()) else {
            continue;
        };
        used += 1.0;
        for (k, found) in [fit.resonance_hz, fit.q].into_iter().enumerate() {
            let error = found.value - truth[k];
            squares[k] += (error / bound[k]).powi(2);
            held[k] += f64::from(u8::from(error.abs() < 1.96 * found.std_dev));
        }
    }
    let [f0, q] = squares.map(|s: f64| (s / used).sqrt());
    let [held_f0, held_q] = held.map(|h| 100.0 * h / used);
    format!("{f0:.2} / {q:.2}, {held_f0:.0} / {held_q:.0}")
}
