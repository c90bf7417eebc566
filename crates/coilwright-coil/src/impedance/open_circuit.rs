//! What is measured where nothing is wound: the capacitance of a lead, or a wire.

use super::points::ImpedanceTable;
use crate::least_squares::linear;
use crate::{Estimate, FitError};
use nalgebra::{DMatrix, DVector};
use std::f64::consts::TAU;

/// Largest capacitance of leads: three metres of cable at 100 pF each. Capacitors of rings at these frequencies begin above.
const LEADS_FARAD: f64 = 300e-12;
/// An open circuit has no more conductance than this resistance, ohm.
pub(crate) const LEAST_OPEN_OHM: f64 = 10e3;
/// Part of the susceptance at the lowest frequency that an inductance may have without being one: its resonance is then more than a
/// factor of two below the table.
const INDUCTIVE_PART: f64 = 0.2;
/// Deviations by which a number must differ from nothing.
const SHOWN: f64 = 4.0;

/// The error of a table that is that of an open circuit, or else the error that was found.
pub(crate) fn open_or(table: &ImpedanceTable<'_>, found: FitError) -> FitError {
    open_capacitance(table).map_or(found, |capacitance_farad| FitError::OpenCircuit {
        capacitance_farad,
    })
}

/// The capacitance of leads that explains the table, if one does: `Y = G + jωC`, where `jωC − j/(ωL)` explains no more.
fn open_capacitance(table: &ImpedanceTable<'_>) -> Option<Estimate> {
    let points = table.frequencies_hz.len();
    let highest = TAU * table.frequencies_hz.last().copied()?;
    let mut columns = DMatrix::zeros(points, 2);
    let mut susceptance = DVector::zeros(points);
    let (mut leak, mut weights) = (0.0, 0.0);
    let each = table.frequencies_hz.iter().zip(table.impedances_ohm);
    for (n, ((f, z), deviation)) in each.zip(&table.deviations_ohm).enumerate() {
        // σ_Y = σ_Z/|Z|².
        let (y, weight) = (z.inv(), z.norm_sqr() / deviation);
        let omega = TAU * f / highest;
        (columns[(n, 0)], columns[(n, 1)]) = (omega * weight, -weight / omega);
        susceptance[n] = y.im * weight;
        leak += y.re * weight * weight;
        weights += weight * weight;
    }
    let (both, squares) = linear(&columns, &susceptance)?;
    let noise = squares / (points as f64 - 2.0).max(1.0);
    let inverse = columns.tr_mul(&columns).try_inverse()?;
    let deviation = |k: usize| (noise * inverse[(k, k)]).max(0.0).sqrt();
    let lowest = TAU * table.frequencies_hz.first().copied()? / highest;
    let part = INDUCTIVE_PART * both[0].abs() * lowest * lowest;
    let inductive = both[1].abs() > part.max(SHOWN * deviation(1));
    let lone = columns.columns(0, 1).into_owned();
    let (alone, left) = linear(&lone, &susceptance)?;
    let noise = left / (points as f64 - 1.0).max(1.0);
    let std_dev = (noise / lone.norm_squared()).sqrt() / highest;
    let farad = alone[0] / highest;
    let siemens = leak / weights;
    let leaks = siemens.abs() > LEAST_OPEN_OHM.recip().max(SHOWN * (noise / weights).sqrt());
    let is_small = farad < LEADS_FARAD && farad > -SHOWN * std_dev;
    (!inductive && !leaks && is_small).then_some(Estimate::new(farad, std_dev))
}
