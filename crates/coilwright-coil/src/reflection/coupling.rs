use super::coupled_model::{CoupledModel, FREE};
use super::{CoupledCoils, PortReferences, TwoPort};
use crate::least_squares::{Problem, Solution, propagate, solve};
use crate::quantity::Positive;
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

/// Returns inductances and coupling of two coils from their scattering matrix over frequency, by least squares.
///
/// `Y = (R + jωL)⁻¹ + jωC` with a resistance for each coil that grows with f², and capacitances across and between the ports. The
/// scattering is fitted, where an analyser's noise is even. The start is that of coils without losses: straight lines
/// `−ω Im Y = L⁻¹ − ω²C`. `references` are those of the ports, ohm: one number, or one for each. Derived here.
///
/// # Errors
///
/// [`FitError`]: frequencies that do not rise or are fewer than five; ports that are not inductive.
pub fn fit_coupled_coils(
    frequencies_hz: &[f64],
    ports: &[TwoPort],
    references: impl Into<PortReferences>,
) -> Result<CoupledCoils, FitError> {
    let references = references.into();
    check_frequencies(frequencies_hz, LEAST_POINTS)?;
    if frequencies_hz.len() != ports.len() {
        return Err(FitError::LengthsDiffer {
            frequencies: frequencies_hz.len(),
            values: ports.len(),
        });
    }
    for reference_ohm in references.0 {
        Positive::ReferenceResistance.check(reference_ohm)?;
    }
    let finite = |p: &TwoPort| [p.s11, p.s21, p.s12, p.s22].iter().all(|s| s.is_finite());
    if let Some(index) = ports.iter().position(|port| !finite(port)) {
        return Err(FitError::PointNotFinite { index });
    }
    let (inductances, capacitances) = lossless(frequencies_hz, ports, references)?;
    let [first, _, second] = inductances;
    let model = CoupledModel::new(frequencies_hz, ports, references, [first, second]);
    let mut start = DVector::zeros(FREE);
    for (k, value) in inductances.into_iter().chain(capacitances).enumerate() {
        start[k] = value / model.units[k];
    }
    let solution = solve(&model, start, None).ok_or(FitError::NotSeparable)?;
    report(&solution, &model)
}

/// Inductances `L₁, M, L₂` and capacitances `c₁₁, c₁₂, c₂₂` of coils without losses.
fn lossless(
    frequencies_hz: &[f64],
    ports: &[TwoPort],
    references: PortReferences,
) -> Result<([f64; 3], [f64; 3]), FitError> {
    let rows: Vec<(f64, [f64; 3])> = frequencies_hz
        .iter()
        .zip(ports)
        .filter_map(|(&f, port)| {
            let omega = TAU * f;
            let row = port.admittances(references)?.map(|y| -omega * y.im);
            row.iter().all(|v| v.is_finite()).then_some((omega, row))
        })
        .collect();
    if rows.len() < LEAST_POINTS {
        return Err(FitError::TooFewPoints {
            found: rows.len(),
            needed: LEAST_POINTS,
        });
    }
    let lines = Lines::new(&rows);
    let p = solve(&lines, DVector::zeros(6), None)
        .ok_or(FitError::NotSeparable)?
        .parameters;
    let gamma = [0, 1, 2].map(|k| p[2 * k] * lines.size[k]);
    let capacitances = [0, 1, 2].map(|k| -p[2 * k + 1] * lines.size[k] / lines.greatest);
    let [a, m, b] = gamma;
    let determinant = a * b - m * m;
    if !(a > 0.0 && b > 0.0 && determinant > 0.0) {
        return Err(not_inductive(frequencies_hz, a.min(b).recip()));
    }
    let inductances = [b, -m, a].map(|v| v / determinant);
    Ok((inductances, capacitances))
}

fn not_inductive(frequencies_hz: &[f64], henry: f64) -> FitError {
    let frequency_hz = frequencies_hz.first().copied().unwrap_or(0.0);
    FitError::NotInductive {
        frequency_hz,
        reactance_ohm: TAU * frequency_hz * henry,
    }
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

fn report(solution: &Solution, model: &CoupledModel<'_>) -> Result<CoupledCoils, FitError> {
    let fitted = |index: usize| propagate(solution, |p| model.value(p, index));
    let coils = CoupledCoils {
        primary_henry: fitted(0),
        secondary_henry: fitted(2),
        mutual_henry: fitted(1),
        coefficient: propagate(solution, |p| {
            let product = model.value(p, 0) * model.value(p, 2);
            model.value(p, 1) / product.max(f64::MIN_POSITIVE).sqrt()
        }),
        capacitances_farad: [fitted(3), fitted(5)],
        points: model.frequencies_hz.len(),
    };
    let least = coils.primary_henry.value.min(coils.secondary_henry.value);
    if least > 0.0 {
        return Ok(coils);
    }
    Err(not_inductive(model.frequencies_hz, least))
}
