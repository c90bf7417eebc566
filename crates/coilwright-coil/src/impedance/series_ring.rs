use super::open_circuit::open_or;
use super::points::{ImpedanceOptions, ImpedanceTable};
use super::series_model::{Port, SeriesModel};
use crate::least_squares::{ResidualTest, Solution, covariance, propagate, solve};
use crate::response::require_within;
use crate::{Estimate, FitError};
use nalgebra::DVector;
use num_complex::Complex64;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// Fewest points: six real numbers for three parameters.
pub(crate) const LEAST_POINTS: usize = 3;

/// A series-tuned ring from its impedance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeriesRingFit {
    /// Inductance at `reference_hz`, henry; the same everywhere unless a loop is coupled.
    pub inductance_henry: Estimate,
    /// Series capacitance, farad.
    pub capacitance_farad: Estimate,
    /// Series resistance at `reference_hz`, ohm.
    pub resistance_ohm: Estimate,
    /// Where inductance and resistance are given, hertz.
    pub reference_hz: f64,
    /// A lossy loop that is coupled to the ring, shorted turns or metal, or the growth of the winding's own losses: `k²` of the inductance without it;
    /// absent unless the table demands it.
    pub loop_coupling: Option<Estimate>,
    /// Corner of that loop, `R₂/2πL₂`, hertz.
    pub loop_corner_hz: Option<Estimate>,
    /// Resonance, unloaded, hertz: where the reactance is zero, `1/2π√(LC)` without a loop.
    pub resonance_hz: Estimate,
    /// `Q = ω X′/2R` there, unloaded: `√(L/C)/R` without a loop.
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
/// A loop of inductance `L₂` and resistance `R₂` beside it adds `ω²M²/(R₂ + jωL₂)` (textbook transformer); it is taken into the model when Schwarz's
/// criterion asks for it, and L and R are then the apparent ones at `reference_hz`.
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
    let table = ImpedanceTable::check(frequencies_hz, impedances_ohm, options, LEAST_POINTS)?;
    let fit = fit_series_parts(&table, None)?;
    require_within(frequencies_hz, fit.resonance_hz.value)
        .map_err(|found| open_or(&table, found))?;
    Ok(fit)
}

/// The same wherever it resonates: the flank of a resonance outside the table tells L, C and R too. With a port its reflections are fitted.
pub(crate) fn fit_series_parts(
    table: &ImpedanceTable<'_>,
    port: Option<Port<'_>>,
) -> Result<SeriesRingFit, FitError> {
    let (frequencies_hz, impedances_ohm) = (table.frequencies_hz, table.impedances_ohm);
    let plain = SeriesModel::new(table, port, false);
    let direct = SeriesModel::new(table, None, false);
    // Of impedances the model is linear.
    let alone = solve(&direct, DVector::zeros(3), None)
        .and_then(|start| match port {
            Some(_) => solve(&plain, start.parameters, None),
            None => Some(start),
        })
        .ok_or(FitError::NotSeparable)?;
    let p = &alone.parameters;
    let is_ring = p[1] > 0.0 && p[2] > 0.0 && p[0] > 0.0;
    let (model, solution) = match with_loop(table, port, &alone) {
        Some(looped) => looped,
        None if is_ring => (plain, alone),
        None => {
            let found = FitError::NotInductive {
                frequency_hz: frequencies_hz.first().copied().unwrap_or(0.0),
                reactance_ohm: impedances_ohm.first().map_or(0.0, |z| z.im),
            };
            return Err(open_or(table, found));
        }
    };
    let solution = table.with_its_noise(solution);
    let p = &solution.parameters;
    let reference = TAU * table.reference_hz;
    let resonance = |p: &DVector<f64>| table.reference_hz * model.resonance(p);
    let q = |p: &DVector<f64>| model.q(p);
    let resonance_hz = propagate(&solution, resonance);
    let (real, imaginary) = solution.residuals.as_slice().split_at(frequencies_hz.len());
    Ok(SeriesRingFit {
        inductance_henry: propagate(&solution, |p| model.coil(p, 1.0).im / reference),
        capacitance_farad: propagate(&solution, |p| (reference * p[2]).recip()),
        resistance_ohm: propagate(&solution, |p| model.coil(p, 1.0).re),
        reference_hz: table.reference_hz,
        loop_coupling: model.looped.then(|| propagate(&solution, |p| p[3] / p[1])),
        loop_corner_hz: model
            .looped
            .then(|| propagate(&solution, |p| table.reference_hz * p[4].exp())),
        resonance_hz,
        q: propagate(&solution, q),
        covariance_hz: covariance(&solution, resonance, q),
        curve_ohm: frequencies_hz.iter().map(|&f| model.at_hz(p, f)).collect(),
        residual: ResidualTest::of(&[real, imaginary], solution.degrees, model.energy()),
        residual_squares: solution.squares,
        degrees_of_freedom: solution.degrees,
    })
}

/// The ring with a loop beside it, where that explains the table better than chance would.
fn with_loop<'t>(
    table: &'t ImpedanceTable<'t>,
    port: Option<Port<'t>>,
    alone: &Solution,
) -> Option<(SeriesModel<'t>, Solution)> {
    let model = SeriesModel::new(table, port, true);
    if 2 * table.frequencies_hz.len() <= model.free() {
        return None;
    }
    let best = solve(&model, model.start()?, None)?;
    let gains = table.criterion(&best, model.free()) < table.criterion(alone, 3);
    (gains && model.is_physical(&best.parameters)).then_some((model, best))
}
