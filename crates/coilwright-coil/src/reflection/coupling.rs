use super::{CoupledCoils, TwoPort};
use crate::error::Positive;
use crate::least_squares::{Problem, Solution, propagate, solve};
use crate::response::check_frequencies;
use crate::{Estimate, FitError};
use nalgebra::{DMatrix, DVector};
use std::f64::consts::TAU;

/// Fewest frequencies: two determine the lines, three more the scatter.
const LEAST_POINTS: usize = 5;

/// Returns the coupling coefficient from the inductance of one coil with the other open, and with it shorted.
///
/// `k = √(1 − L_short/L_open)`, textbook, exact for a lossless shorted coil well below self-resonance: measure where the shorted coil's
/// reactance is many times its resistance. Zero, with the deviation that one standard deviation of the ratio gives, where the short does not lower the inductance.
///
/// ```
/// use coilwright_coil::{Estimate, coupling_from_open_and_short};
/// let k = coupling_from_open_and_short(Estimate::new(1e-3, 1e-6), Estimate::new(0.96e-3, 1e-6));
/// assert!((k.value - 0.2).abs() < 1e-12);
/// ```
#[must_use]
pub fn coupling_from_open_and_short(open_henry: Estimate, shorted_henry: Estimate) -> Estimate {
    let ratio = shorted_henry.value / open_henry.value;
    let deviation = (shorted_henry.std_dev / open_henry.value)
        .hypot(ratio * open_henry.std_dev / open_henry.value);
    let square = 1.0 - ratio;
    if square <= deviation {
        return Estimate::new(square.max(0.0).sqrt(), deviation.sqrt());
    }
    Estimate::new(square.sqrt(), 0.5 * deviation / square.sqrt())
}

/// Returns inductances and coupling of two coils from their scattering matrix over frequency.
///
/// With self-capacitances across the ports, `−ω Im Y = L⁻¹ − ω²C` (losses small against reactances), so straight lines
/// over ω² through each of the three admittances have the inverse inductance matrix as intercept, and
/// `k = −Γ₁₂/√(Γ₁₁Γ₂₂)`. Derived here. Points whose ports are shorted are left out.
///
/// # Errors
///
/// [`FitError`]: frequencies that do not rise or are fewer than five; admittances that are not inductive.
pub fn fit_coupled_coils(
    frequencies_hz: &[f64],
    ports: &[TwoPort],
    reference_ohm: f64,
) -> Result<CoupledCoils, FitError> {
    check_frequencies(frequencies_hz, LEAST_POINTS)?;
    if frequencies_hz.len() != ports.len() {
        return Err(FitError::LengthsDiffer {
            frequencies: frequencies_hz.len(),
            values: ports.len(),
        });
    }
    Positive::ReferenceResistance.check(reference_ohm)?;
    let mut rows = Vec::new();
    for (index, (&f, port)) in frequencies_hz.iter().zip(ports).enumerate() {
        let Some(admittances) = port.admittances(reference_ohm) else {
            continue;
        };
        let omega = TAU * f;
        let row = admittances.map(|y| -omega * y.im);
        if row.iter().any(|v| !v.is_finite()) {
            return Err(FitError::PointNotFinite { index });
        }
        rows.push((omega, row));
    }
    if rows.len() < LEAST_POINTS {
        return Err(FitError::TooFewPoints {
            found: rows.len(),
            needed: LEAST_POINTS,
        });
    }
    let lines = Lines::new(&rows);
    let solution = solve(&lines, DVector::zeros(6), None).ok_or(FitError::NotSeparable)?;
    report(&solution, &lines, rows.len(), frequencies_hz)
}

/// Three straight lines over ω², each over its own size so that their residuals are comparable.
struct Lines<'a> {
    rows: &'a [(f64, [f64; 3])],
    size: [f64; 3],
    greatest: f64,
}

impl<'a> Lines<'a> {
    fn new(rows: &'a [(f64, [f64; 3])]) -> Self {
        let mean = |k: usize| {
            rows.iter().map(|(_, row)| row[k].abs()).sum::<f64>() / rows.len().max(1) as f64
        };
        Self {
            rows,
            size: [mean(0), (mean(0) * mean(2)).sqrt(), mean(2)].map(|s| s.max(f64::MIN_POSITIVE)),
            greatest: rows
                .iter()
                .map(|(omega, _)| omega * omega)
                .fold(0.0, f64::max),
        }
    }
}

impl Problem for Lines<'_> {
    fn rows(&self) -> usize {
        3 * self.rows.len()
    }

    /// Weighted with 1/ω: white noise of the admittance grows with ω in `ω Im Y`.
    fn evaluate(
        &self,
        parameters: &DVector<f64>,
        residuals: &mut DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) -> Option<()> {
        slopes.fill(0.0);
        for (n, (omega, row)) in self.rows.iter().enumerate() {
            let weight = self.greatest.sqrt() / omega;
            let position = omega * omega / self.greatest;
            for k in 0..3 {
                let model = parameters[2 * k] + parameters[2 * k + 1] * position;
                residuals[3 * n + k] = weight * (row[k] / self.size[k] - model);
                slopes[(3 * n + k, 2 * k)] = weight;
                slopes[(3 * n + k, 2 * k + 1)] = weight * position;
            }
        }
        Some(())
    }
}

fn report(
    solution: &Solution,
    lines: &Lines<'_>,
    points: usize,
    frequencies_hz: &[f64],
) -> Result<CoupledCoils, FitError> {
    let size = lines.size;
    let gamma = move |p: &DVector<f64>| [p[0] * size[0], p[2] * size[1], p[4] * size[2]];
    let determinant = move |p: &DVector<f64>| {
        let [a, m, b] = gamma(p);
        a * b - m * m
    };
    let [a, _, b] = gamma(&solution.parameters);
    if !(a > 0.0 && b > 0.0 && determinant(&solution.parameters) > 0.0) {
        let frequency_hz = frequencies_hz.first().copied().unwrap_or(0.0);
        return Err(FitError::NotInductive {
            frequency_hz,
            reactance_ohm: TAU * frequency_hz / a.min(b),
        });
    }
    let capacitance = |k: usize| propagate(solution, |p| -p[2 * k + 1] * size[k] / lines.greatest);
    Ok(CoupledCoils {
        primary_henry: propagate(solution, |p| gamma(p)[2] / determinant(p)),
        secondary_henry: propagate(solution, |p| gamma(p)[0] / determinant(p)),
        mutual_henry: propagate(solution, |p| -gamma(p)[1] / determinant(p)),
        coefficient: propagate(solution, |p| {
            let [a, m, b] = gamma(p);
            -m / (a * b).max(f64::MIN_POSITIVE).sqrt()
        }),
        capacitances_farad: [capacitance(0), capacitance(2)],
        points,
    })
}
