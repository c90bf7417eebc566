//! Errors over the bound, from many trials of one case.

use coilwright_coil::{FitError, ModeBound};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::f64::consts::TAU;

use crate::case::{Case, PHASES};

/// Errors of one cell over its bound.
#[derive(Clone, Copy, Default)]
pub(crate) struct Cell {
    pub(crate) resonance: f64,
    pub(crate) q: f64,
    pub(crate) coverage: f64,
    pub(crate) second_modes: f64,
    pub(crate) failed: f64,
    pub(crate) bound_hz: f64,
    pub(crate) bound_q: f64,
}

pub(crate) fn run(case: &Case, trials: usize, seed: u64) -> Cell {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let phase = |i: usize| TAU * (i as f64 + 0.5) / PHASES as f64;
    let bounds: Vec<ModeBound> = (0..PHASES).map(|i| case.bound(phase(i))).collect();
    let mean = |f: &dyn Fn(&ModeBound) -> f64| {
        (bounds.iter().map(|b| f(b).powi(-2)).sum::<f64>() / PHASES as f64 * case.records as f64)
            .powf(-0.5)
    };
    let mut cell = Cell {
        bound_hz: mean(&|b| b.resonance_hz),
        bound_q: mean(&|b| b.q),
        ..Cell::default()
    };
    let (mut used, mut covered) = (0.0, 0.0);
    for trial in 0..trials {
        // One record: the bound of its own phase. Several: phases spread evenly, and the mean information.
        let indices: Vec<usize> = (0..case.records)
            .map(|r| (trial + r * PHASES / case.records) % PHASES)
            .collect();
        let information = |f: &dyn Fn(&ModeBound) -> f64| {
            indices.iter().map(|&i| f(&bounds[i]).powi(-2)).sum::<f64>()
        };
        let (hz, q) = (
            information(&|b| b.resonance_hz).powf(-0.5),
            information(&|b| b.q).powf(-0.5),
        );
        let records: Vec<Vec<f32>> = indices
            .iter()
            .map(|&i| case.record(phase(i), &mut random))
            .collect();
        let views: Vec<&[f32]> = records.iter().map(Vec::as_slice).collect();
        let (found_hz, found_q) = match case.fit(&views) {
            Ok(fit) => {
                cell.second_modes += f64::from(u8::from(fit.second.is_some())) / trials as f64;
                (fit.mode.resonance_hz, fit.mode.q)
            }
            Err(FitError::NoRingDown {
                resonance_hz, q, ..
            }) => (resonance_hz, q),
            Err(_) => {
                cell.failed += 1.0 / trials as f64;
                continue;
            }
        };
        let (error_hz, error_q) = (found_hz.value - case.resonance_hz, found_q.value - case.q);
        used += 1.0;
        cell.resonance += (error_hz / hz).powi(2);
        cell.q += (error_q / q).powi(2);
        covered += 0.5 * f64::from(u8::from(error_hz.abs() < 1.96 * found_hz.std_dev));
        covered += 0.5 * f64::from(u8::from(error_q.abs() < 1.96 * found_q.std_dev));
    }
    (cell.resonance, cell.q) = ((cell.resonance / used).sqrt(), (cell.q / used).sqrt());
    cell.coverage = covered / used;
    cell
}
