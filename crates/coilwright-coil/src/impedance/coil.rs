use super::coil_model::{CoilModel, Parts};
use super::inductive::{require_inductive, start};
use super::open_circuit::open_or;
use super::points::{ImpedanceOptions, ImpedanceTable};
use crate::least_squares::{ResidualTest, Solution, covariance, propagate, solve};
use crate::{Estimate, FitError};
use nalgebra::DVector;
use num_complex::Complex64;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// A coil from its impedance: inductance and resistance in series, its self-capacitance (or a tuning capacitor) across both.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CoilFit {
    /// Inductance, henry. Without a resolved capacitance it is the apparent one at the table's frequencies.
    pub inductance_henry: Estimate,
    /// Series resistance at `reference_hz`, ohm.
    pub resistance_ohm: Estimate,
    /// Where the resistance and Q are given, hertz.
    pub reference_hz: f64,
    /// Growth of the resistance: `R(f) = R + G((f/f_ref)² − 1)`, the low-frequency form of skin and proximity effect, ohm;
    /// absent unless the table demands it.
    pub resistance_growth_ohm: Option<Estimate>,
    /// Where the growth turns from f² to √f because the wire is 3.2 skin depths thick, hertz; absent unless the table demands it. `G` is then the
    /// part of the resistance at `reference_hz` that grows so.
    pub resistance_corner_hz: Option<Estimate>,
    /// Capacitance across the coil, farad; absent unless the table demands it.
    pub capacitance_farad: Option<Estimate>,
    /// Undamped resonance `1/2π√(LC)` of coil and capacitance, unloaded, hertz; present with the capacitance.
    pub resonance_hz: Option<Estimate>,
    /// `Q = √(L/C)/R(f₀)` at that resonance, unloaded; present with the capacitance.
    pub resonance_q: Option<Estimate>,
    /// `Q = ωL/R` of the coil at `reference_hz`, unloaded, without what the capacitance adds.
    pub q: Estimate,
    /// Covariance of inductance and resistance, henry times ohm.
    pub covariance_henry_ohm: f64,
    /// The fitted impedance at each frequency, ohm.
    pub curve_ohm: Vec<Complex64>,
    /// What the residuals look like, in standard deviations of the points where these are known, else relative to them.
    pub residual: ResidualTest,
    /// Sum of the squared residuals.
    pub residual_squares: f64,
    /// Real numbers less fitted parameters.
    pub degrees_of_freedom: f64,
}

/// Returns inductance, resistance and self-capacitance of a coil from a table of impedances, by least squares.
///
/// `Z = (R + jωL)/(1 + jωC(R + jωL))`. Capacitance, growing resistance and the corner of its growth are taken into the model when Schwarz's criterion asks for them.
/// A parallel-tuned ring is a coil with a large capacitance: its resonance and Q are given too.
///
/// # Errors
///
/// [`FitError`]: too few points (three, or one if the noise is known), frequencies that do not rise, values that are no number, an impedance
/// that is not inductive; [`FitError::OpenCircuit`] for the capacitance of bare leads.
///
/// # Example
///
/// ```
/// use coilwright_coil::{ImpedanceOptions, fit_coil};
/// use num_complex::Complex64;
/// let frequencies_hz: Vec<f64> = (1..60).map(|n| 10e3 * f64::from(n)).collect();
/// let impedances_ohm: Vec<Complex64> = frequencies_hz
///     .iter()
///     .map(|f| {
///         let w = std::f64::consts::TAU * f;
///         let series = Complex64::new(9.0, w * 0.8e-3);
///         series / (1.0 + Complex64::new(0.0, w * 22e-12) * series)
///     })
///     .collect();
/// let fit = fit_coil(&frequencies_hz, &impedances_ohm, &ImpedanceOptions::default())?;
/// assert!((fit.inductance_henry.value / 0.8e-3 - 1.0).abs() < 1e-9);
/// assert!((fit.capacitance_farad.unwrap().value / 22e-12 - 1.0).abs() < 1e-6);
/// let resonance_hz = 1.0 / (std::f64::consts::TAU * (0.8e-3_f64 * 22e-12).sqrt());
/// assert!((fit.resonance_hz.unwrap().value / resonance_hz - 1.0).abs() < 1e-5);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
pub fn fit_coil(
    frequencies_hz: &[f64],
    impedances_ohm: &[Complex64],
    options: &ImpedanceOptions<'_>,
) -> Result<CoilFit, FitError> {
    let needed = if options.noise.is_known() { 1 } else { 3 };
    let table = ImpedanceTable::check(frequencies_hz, impedances_ohm, options, needed)?;
    fit_table(&table).map_err(|found| open_or(&table, found))
}

fn fit_table(table: &ImpedanceTable<'_>) -> Result<CoilFit, FitError> {
    let (inductance, capacitance, resistance) = start(table)?;
    let mut best: Option<(f64, Parts, Solution)> = None;
    for parts in Parts::ALL {
        let model = CoilModel::new(table, parts, inductance, resistance);
        // Only a growth that is there can have a corner.
        let grows = best
            .as_ref()
            .is_some_and(|(_, best, _)| best.growth.is_some());
        if parts.corner.is_some() && !grows {
            continue;
        }
        let spare = 2.0 * table.frequencies_hz.len() as f64 - parts.free() as f64;
        if spare < if table.noise_is_known { 0.0 } else { 1.0 } {
            continue;
        }
        let starts = parts.corners().iter();
        let solutions =
            starts.filter_map(|corner| solve(&model, model.start(capacitance, *corner), None));
        let Some(solution) = solutions.min_by(|a, b| a.squares.total_cmp(&b.squares)) else {
            continue;
        };
        let criterion = table.criterion(&solution, parts.free());
        if best.as_ref().is_none_or(|(least, ..)| criterion < *least) {
            best = Some((criterion, parts, solution));
        }
    }
    let (_, parts, solution) = best.ok_or(FitError::NotSeparable)?;
    let solution = table.with_its_noise(solution);
    let model = CoilModel::new(table, parts, inductance, resistance);
    let fit = report(&model, &solution);
    require_inductive(table, &fit)?;
    Ok(fit)
}

fn report(model: &CoilModel<'_>, solution: &Solution) -> CoilFit {
    let table = model.table;
    let inductance = |p: &DVector<f64>| p[0] * model.inductance;
    let resistance = |p: &DVector<f64>| p[1] * model.resistance_unit;
    let resonance =
        |p: &DVector<f64>| (TAU * (inductance(p) * model.capacitance(p)).max(0.0).sqrt()).recip();
    let resonance_q = |p: &DVector<f64>| {
        (inductance(p) / model.capacitance(p)).sqrt() / model.resistance_at(p, resonance(p))
    };
    let resonates =
        model.parts.capacitance.is_some() && model.capacitance(&solution.parameters) > 0.0;
    let points = table.frequencies_hz.len();
    let (real, imaginary) = solution.residuals.as_slice().split_at(points);
    CoilFit {
        inductance_henry: propagate(solution, inductance),
        resistance_ohm: propagate(solution, resistance),
        reference_hz: table.reference_hz,
        resistance_growth_ohm: model
            .parts
            .growth
            .map(|_| propagate(solution, |p| model.growth(p))),
        resistance_corner_hz: model.parts.corner.map(|_| {
            propagate(solution, |p| {
                table.reference_hz * model.corner(p).unwrap_or(f64::NAN)
            })
        }),
        capacitance_farad: model
            .parts
            .capacitance
            .map(|_| propagate(solution, |p| model.capacitance(p))),
        resonance_hz: resonates.then(|| propagate(solution, resonance)),
        resonance_q: resonates.then(|| propagate(solution, resonance_q)),
        q: propagate(solution, |p| {
            TAU * table.reference_hz * inductance(p) / resistance(p)
        }),
        covariance_henry_ohm: covariance(solution, inductance, resistance),
        curve_ohm: table
            .frequencies_hz
            .iter()
            .map(|&f| model.at(&solution.parameters, f).0)
            .collect(),
        residual: ResidualTest::of(&[real, imaginary], solution.degrees, table.energy()),
        residual_squares: solution.squares,
        degrees_of_freedom: solution.degrees,
    }
}
