//! Where a fit of a coil starts, and what is no coil.

use super::coil::CoilFit;
use super::points::ImpedanceTable;
use crate::FitError;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Standard deviations by which an inductance stands above nothing where the table begins below zero reactance.
const INDUCTIVE: f64 = 3.0;
/// Least Q where the table begins below zero reactance: less does not ring, and the inductance is a small correction to a resistor and a capacitor.
const RINGING_Q: f64 = 0.5;

/// Inductance and capacitance from the straight line `−ω Im Y = 1/L − ω²C`, resistance from the lowest frequencies.
pub(super) fn start(table: &ImpedanceTable<'_>) -> Result<(f64, f64, f64), FitError> {
    let points = table.frequencies_hz.len();
    let rows: Vec<(f64, f64, f64)> = table
        .frequencies_hz
        .iter()
        .zip(table.impedances_ohm)
        .map(|(f, z)| {
            let (omega, y) = (TAU * f, z.inv());
            (
                omega * omega,
                -omega * y.im,
                (omega * y.norm()).recip().powi(2),
            )
        })
        .collect();
    let sum = |of: &dyn Fn(&(f64, f64, f64)) -> f64| rows.iter().map(of).sum::<f64>();
    let weight = sum(&|r| r.2);
    let (x, y) = (sum(&|r| r.2 * r.0) / weight, sum(&|r| r.2 * r.1) / weight);
    let spread = sum(&|r| r.2 * (r.0 - x).powi(2));
    let slope = if points > 2 && spread > 0.0 {
        (sum(&|r| r.2 * (r.0 - x) * (r.1 - y)) / spread).min(0.0)
    } else {
        0.0
    };
    let intercept = y - slope * x;
    if !(intercept > 0.0 && intercept.is_finite()) {
        return Err(not_inductive(table));
    }
    let (inductance, capacitance) = (intercept.recip(), -slope);
    let few = points.div_ceil(3);
    let resistance = table
        .frequencies_hz
        .iter()
        .zip(table.impedances_ohm)
        .take(few)
        .map(|(f, z)| {
            (z.inv() - Complex64::new(0.0, TAU * f * capacitance))
                .inv()
                .re
        })
        .sum::<f64>()
        / few as f64;
    Ok((inductance, capacitance, resistance))
}

/// Refuses what turned out no coil: an open one shows the capacitance of its leads, and an inductance of either sign with it.
pub(super) fn require_inductive(table: &ImpedanceTable<'_>, fit: &CoilFit) -> Result<(), FitError> {
    let first = table.impedances_ohm.first().map_or(0.0, |z| z.im);
    let inductance = fit.inductance_henry;
    let rings = fit.resonance_q.unwrap_or(fit.q).value >= RINGING_Q;
    let shown = rings && inductance.value > INDUCTIVE * inductance.std_dev;
    if inductance.value > 0.0 && (first >= 0.0 || shown) {
        return Ok(());
    }
    Err(not_inductive(table))
}

fn not_inductive(table: &ImpedanceTable<'_>) -> FitError {
    FitError::NotInductive {
        frequency_hz: table.frequencies_hz.first().copied().unwrap_or(0.0),
        reactance_ohm: table.impedances_ohm.first().map_or(0.0, |z| z.im),
    }
}
