use super::inductive::{require_inductive, start};
use super::points::{ImpedanceOptions, ImpedanceTable};
use crate::least_squares::{Problem, ResidualTest, Solution, covariance, propagate, solve};
use crate::{Estimate, FitError};
use nalgebra::{DMatrix, DVector};
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
/// `Z = (R + jωL)/(1 + jωC(R + jωL))`. Capacitance and growing resistance are taken into the model when Schwarz's criterion asks for them.
/// A parallel-tuned ring is a coil with a large capacitance: its resonance and Q are given too.
///
/// # Errors
///
/// [`FitError`]: too few points (three, or one if the noise is known), frequencies that do not rise, values that are no number, an impedance
/// that is not inductive.
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
    let (inductance, capacitance, resistance) = start(&table)?;
    let mut best: Option<(f64, Parts, Solution)> = None;
    for parts in Parts::ALL {
        let model = CoilModel::new(&table, parts, inductance, resistance);
        let spare = 2.0 * frequencies_hz.len() as f64 - parts.free() as f64;
        if spare < if table.noise_is_known { 0.0 } else { 1.0 } {
            continue;
        }
        let Some(solution) = solve(&model, model.start(capacitance), None) else {
            continue;
        };
        let criterion = criterion(&table, &solution, parts);
        if best.as_ref().is_none_or(|(least, ..)| criterion < *least) {
            best = Some((criterion, parts, solution));
        }
    }
    let (_, parts, solution) = best.ok_or(FitError::NotSeparable)?;
    let solution = table.with_its_noise(solution);
    let model = CoilModel::new(&table, parts, inductance, resistance);
    let fit = report(&model, &solution);
    require_inductive(&table, &fit)?;
    Ok(fit)
}

/// Which parts of the model are fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Parts {
    capacitance: Option<usize>,
    growth: Option<usize>,
}

impl Parts {
    const ALL: [Self; 4] = [
        Self {
            capacitance: None,
            growth: None,
        },
        Self {
            capacitance: Some(2),
            growth: None,
        },
        Self {
            capacitance: None,
            growth: Some(2),
        },
        Self {
            capacitance: Some(2),
            growth: Some(3),
        },
    ];

    fn free(self) -> usize {
        2 + usize::from(self.capacitance.is_some()) + usize::from(self.growth.is_some())
    }
}

/// Schwarz's criterion, with the noise known or from the residuals.
fn criterion(table: &ImpedanceTable<'_>, solution: &Solution, parts: Parts) -> f64 {
    let count = 2.0 * table.frequencies_hz.len() as f64;
    let energy: f64 = table
        .impedances_ohm
        .iter()
        .zip(&table.deviations_ohm)
        .map(|(z, d)| z.norm_sqr() / (d * d))
        .sum();
    // Below the rounding of the data nothing can be told.
    let squares = solution.squares.max(1e-28 * energy);
    let penalty = parts.free() as f64 * count.ln();
    if table.noise_is_known {
        squares + penalty
    } else {
        count * (squares / count).ln() + penalty
    }
}

/// The model over the table; parameters are relative to the start: L, R at the reference, then C and growth if fitted.
#[derive(Clone, Debug)]
struct CoilModel<'a> {
    table: &'a ImpedanceTable<'a>,
    parts: Parts,
    inductance: f64,
    resistance: f64,
    /// Unit of the resistances: 1 % of the reactance at the reference.
    resistance_unit: f64,
    /// Unit of the capacitance: that which resonates at the highest frequency.
    capacitance_unit: f64,
}

impl<'a> CoilModel<'a> {
    fn new(table: &'a ImpedanceTable<'a>, parts: Parts, inductance: f64, resistance: f64) -> Self {
        let highest = TAU * table.frequencies_hz.last().copied().unwrap_or(1.0);
        Self {
            table,
            parts,
            inductance,
            resistance,
            resistance_unit: 0.01 * TAU * table.reference_hz * inductance,
            capacitance_unit: (highest * highest * inductance).recip(),
        }
    }

    fn start(&self, capacitance: f64) -> DVector<f64> {
        let mut start = DVector::zeros(self.parts.free());
        start[0] = 1.0;
        start[1] = self.resistance / self.resistance_unit;
        if let Some(index) = self.parts.capacitance {
            start[index] = capacitance / self.capacitance_unit;
        }
        start
    }

    fn capacitance(&self, p: &DVector<f64>) -> f64 {
        self.parts
            .capacitance
            .map_or(0.0, |index| p[index] * self.capacitance_unit)
    }

    fn growth(&self, p: &DVector<f64>) -> f64 {
        self.parts
            .growth
            .map_or(0.0, |index| p[index] * self.resistance_unit)
    }

    fn resistance_at(&self, p: &DVector<f64>, frequency_hz: f64) -> f64 {
        p[1] * self.resistance_unit + self.growth(p) * self.rise(frequency_hz)
    }

    fn rise(&self, frequency_hz: f64) -> f64 {
        (frequency_hz / self.table.reference_hz).powi(2) - 1.0
    }

    fn at(&self, p: &DVector<f64>, frequency_hz: f64) -> (Complex64, Complex64, Complex64) {
        let omega = TAU * frequency_hz;
        let series = Complex64::new(
            self.resistance_at(p, frequency_hz),
            omega * p[0] * self.inductance,
        );
        let divisor = 1.0 + Complex64::new(0.0, omega * self.capacitance(p)) * series;
        (series / divisor, series, divisor)
    }
}

impl Problem for CoilModel<'_> {
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
        let each = table.frequencies_hz.iter().zip(table.impedances_ohm);
        for (n, ((&f, z), deviation)) in each.zip(&table.deviations_ohm).enumerate() {
            let omega = TAU * f;
            let (model, series, divisor) = self.at(parameters, f);
            let by_series = (divisor * divisor).inv();
            let mut put = |column: Option<usize>, value: Complex64| {
                if let Some(column) = column {
                    slopes[(n, column)] = value.re / deviation;
                    slopes[(n + points, column)] = value.im / deviation;
                }
            };
            put(
                Some(0),
                by_series * Complex64::new(0.0, omega * self.inductance),
            );
            put(Some(1), by_series * self.resistance_unit);
            let by_capacitance = -series * series * by_series * Complex64::new(0.0, omega);
            put(
                self.parts.capacitance,
                by_capacitance * self.capacitance_unit,
            );
            put(
                self.parts.growth,
                by_series * (self.resistance_unit * self.rise(f)),
            );
            let left = z - model;
            residuals[n] = left.re / deviation;
            residuals[n + points] = left.im / deviation;
        }
        Some(())
    }
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
    let energy = table
        .impedances_ohm
        .iter()
        .zip(&table.deviations_ohm)
        .map(|(z, d)| z.norm_sqr() / (d * d))
        .sum();
    CoilFit {
        inductance_henry: propagate(solution, inductance),
        resistance_ohm: propagate(solution, resistance),
        reference_hz: table.reference_hz,
        resistance_growth_ohm: model
            .parts
            .growth
            .map(|_| propagate(solution, |p| model.growth(p))),
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
        residual: ResidualTest::of(&[real, imaginary], solution.degrees, energy),
        residual_squares: solution.squares,
        degrees_of_freedom: solution.degrees,
    }
}
