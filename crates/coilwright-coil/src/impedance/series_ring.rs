use super::open_circuit::open_or;
use super::points::{ImpedanceOptions, ImpedanceTable};
use crate::least_squares::{Problem, ResidualTest, covariance, propagate, solve};
use crate::response::require_within;
use crate::{Estimate, FitError};
use nalgebra::{DMatrix, DVector};
use num_complex::Complex64;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// A series-tuned ring from its impedance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeriesRingFit {
    /// Inductance, henry.
    pub inductance_henry: Estimate,
    /// Series capacitance, farad.
    pub capacitance_farad: Estimate,
    /// Series resistance, ohm.
    pub resistance_ohm: Estimate,
    /// Undamped resonance `1/2π√(LC)`, unloaded, hertz.
    pub resonance_hz: Estimate,
    /// `Q = √(L/C)/R`, unloaded.
    pub q: Estimate,
    /// Covariance of resonance and Q, hertz.
    pub covariance_hz: f64,
    /// The fitted impedance at each frequency, ohm.
    pub curve_ohm: Vec<Complex64>,
    /// What the residuals look like, in standard deviations of the points where these are known, else relative to them.
    pub residual: ResidualTest,
    /// Sum of the squared residuals.
    pub residual_squares: f64,
    /// Real numbers less fitted parameters.
    pub degrees_of_freedom: f64,
}

/// Returns L, C, R, resonance and Q of a series-tuned ring from a table of impedances: `Z = R + jωL + 1/(jωC)`.
///
/// # Errors
///
/// [`FitError`]: fewer than three points, frequencies that do not rise, values that are no number, a resonance outside the
/// table, or a reactance that does not rise through zero; [`FitError::OpenCircuit`] for the capacitance of bare leads.
///
/// ```
/// use coilwright_coil::{ImpedanceOptions, fit_series_ring};
/// use num_complex::Complex64;
/// let frequencies_hz: Vec<f64> = (0..41).map(|n| 105e3 + 1e3 * f64::from(n)).collect();
/// let z: Vec<Complex64> = frequencies_hz
///     .iter()
///     .map(|f| {
///         let w = std::f64::consts::TAU * f;
///         Complex64::new(40.0, w * 1.62e-3 - 1.0 / (w * 1.0007e-9))
///     })
///     .collect();
/// let fit = fit_series_ring(&frequencies_hz, &z, &ImpedanceOptions::default())?;
/// assert!((fit.resonance_hz.value - 125_000.19).abs() < 0.01 && (fit.q.value - 31.8087).abs() < 1e-4);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
pub fn fit_series_ring(
    frequencies_hz: &[f64],
    impedances_ohm: &[Complex64],
    options: &ImpedanceOptions<'_>,
) -> Result<SeriesRingFit, FitError> {
    let table = ImpedanceTable::check(frequencies_hz, impedances_ohm, options, 3)?;
    let model = SeriesModel { table: &table };
    let solution = solve(&model, DVector::zeros(3), None).ok_or(FitError::NotSeparable)?;
    let solution = table.with_its_noise(solution);
    let p = &solution.parameters;
    if !(p[1] > 0.0 && p[2] > 0.0 && p[0] > 0.0) {
        let found = FitError::NotInductive {
            frequency_hz: frequencies_hz.first().copied().unwrap_or(0.0),
            reactance_ohm: impedances_ohm.first().map_or(0.0, |z| z.im),
        };
        return Err(open_or(&table, found));
    }
    let reference = TAU * table.reference_hz;
    let resonance = |p: &DVector<f64>| table.reference_hz * (p[2] / p[1]).sqrt();
    let q = |p: &DVector<f64>| (p[1] * p[2]).sqrt() / p[0];
    let resonance_hz = propagate(&solution, resonance);
    require_within(frequencies_hz, resonance_hz.value).map_err(|e| open_or(&table, e))?;
    let (real, imaginary) = solution.residuals.as_slice().split_at(frequencies_hz.len());
    let energy = impedances_ohm
        .iter()
        .zip(&table.deviations_ohm)
        .map(|(z, d)| z.norm_sqr() / (d * d))
        .sum();
    Ok(SeriesRingFit {
        inductance_henry: propagate(&solution, |p| p[1] / reference),
        capacitance_farad: propagate(&solution, |p| (reference * p[2]).recip()),
        resistance_ohm: propagate(&solution, |p| p[0]),
        resonance_hz,
        q: propagate(&solution, q),
        covariance_hz: covariance(&solution, resonance, q),
        curve_ohm: frequencies_hz.iter().map(|&f| model.at(p, f)).collect(),
        residual: ResidualTest::of(&[real, imaginary], solution.degrees, energy),
        residual_squares: solution.squares,
        degrees_of_freedom: solution.degrees,
    })
}

/// Parameters, all in ohm: R, and the reactances of L and of C at the reference frequency.
struct SeriesModel<'a> {
    table: &'a ImpedanceTable<'a>,
}

impl SeriesModel<'_> {
    fn at(&self, p: &DVector<f64>, frequency_hz: f64) -> Complex64 {
        let relative = frequency_hz / self.table.reference_hz;
        Complex64::new(p[0], relative * p[1] - p[2] / relative)
    }
}

impl Problem for SeriesModel<'_> {
    fn rows(&self) -> usize {
        2 * self.table.frequencies_hz.len()
    }

    fn evaluate(
        &self,
        parameters: &DVector<f64>,
        residuals: &mut DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) -> Option<()> {
        let table = self.table;
        let points = table.frequencies_hz.len();
        slopes.fill(0.0);
        let each = table.frequencies_hz.iter().zip(table.impedances_ohm);
        for (n, ((&f, z), deviation)) in each.zip(&table.deviations_ohm).enumerate() {
            let left = z - self.at(parameters, f);
            residuals[n] = left.re / deviation;
            residuals[n + points] = left.im / deviation;
            let relative = f / table.reference_hz;
            slopes[(n, 0)] = deviation.recip();
            slopes[(n + points, 1)] = relative / deviation;
            slopes[(n + points, 2)] = -(relative * deviation).recip();
        }
        Some(())
    }
}
