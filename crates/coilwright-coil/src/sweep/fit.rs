use super::choice::{self, Fitted, Mean};
use super::model::{AmplitudeModel, PowerModel, Terms};
use super::{SweepFit, SweepOptions, SweepShape};
use crate::least_squares::{ResidualTest, Solution, linear, solve};
use crate::response::{check_frequencies, require_real, search_grid};
use crate::{FitError, Measured};
use nalgebra::{DMatrix, DVector};
use num_complex::Complex64;

/// Fewest points: seven parameters at most and three to judge by.
const LEAST_POINTS: usize = 10;
/// Interference is named from this many standard deviations of its coefficient on.
const NAMED: f64 = 4.0;

/// Returns resonance and Q of a sweep of amplitudes, such as a scope's or a level meter's readings over a generator's frequencies.
///
/// `frequencies_hz` rise, `amplitudes` are in any linear unit (not decibels), not negative. Background,
/// its slope and interference are weighed by how probable the data make each; resonance and Q are the mean over the combinations, with deviations that
/// include the choice. Shape and curve are those of the likeliest. The undamped resonance and the loaded Q are reported.
///
/// # Errors
///
/// [`FitError`]: lengths that differ, frequencies that do not rise, fewer than ten points, values that are no number, no resonance
/// above the noise, or one outside the band.
///
/// # Example
///
/// ```
/// use coilwright_coil::{SweepOptions, SweepShape, fit_amplitude_sweep};
/// let frequencies_hz: Vec<f64> = (0..61).map(|n| 110e3 + 500.0 * f64::from(n)).collect();
/// let volts: Vec<f64> = frequencies_hz
///     .iter()
///     .map(|f| 2.0 / (20.0 * (f / 125e3 - 125e3 / f)).hypot(1.0))
///     .collect();
/// let fit = fit_amplitude_sweep(&frequencies_hz, &volts, &SweepOptions::default())?;
/// assert!((fit.resonance_hz.value - 125e3).abs() < 0.1 && (fit.q.value - 20.0).abs() < 1e-3);
/// assert_eq!(fit.shape, SweepShape::Peak);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
///
/// # Source
///
/// `|I| ∝ 1/√(1 + Q²t²)` of a series circuit is textbook; with a direct path it is the curve that Fano's formula describes. The
/// decomposition into terms stands beside the model.
pub fn fit_amplitude_sweep(
    frequencies_hz: &[f64],
    amplitudes: &[f64],
    options: &SweepOptions,
) -> Result<SweepFit, FitError> {
    check_frequencies(frequencies_hz, LEAST_POINTS)?;
    if frequencies_hz.len() != amplitudes.len() {
        return Err(FitError::LengthsDiffer {
            frequencies: frequencies_hz.len(),
            values: amplitudes.len(),
        });
    }
    if let Some(index) = amplitudes
        .iter()
        .position(|a| !(a.is_finite() && *a >= 0.0))
    {
        return Err(FitError::PointNotFinite { index });
    }
    if amplitudes.iter().all(|a| *a == 0.0) {
        return Err(FitError::AllZero {
            quantity: Measured::Amplitudes,
            points: amplitudes.len(),
        });
    }
    let mut fitted: Vec<Fitted<'_>> = Terms::ALL
        .into_iter()
        .filter_map(|terms| {
            let model = AmplitudeModel::new(frequencies_hz, amplitudes, terms, options.quantity);
            let (solution, tried) = fit_terms(&model)?;
            Some(Fitted::new(model, solution, tried))
        })
        .collect();
    choice::sort(&mut fitted);
    let likeliest = fitted.first().ok_or(FitError::NotSeparable)?;
    require_resonance(likeliest)?;
    let mean = choice::mean(&fitted, |one| require_resonance(one).is_ok());
    Ok(report(likeliest, &mean.ok_or(FitError::NotSeparable)?))
}

/// The least squares of the amplitudes with these terms, from the best trial of a grid on the powers.
fn fit_terms(model: &AmplitudeModel<'_>) -> Option<(Solution, usize)> {
    let powers = model.powers();
    let values: Vec<Complex64> = powers.iter().map(|&p| Complex64::new(p, 0.0)).collect();
    let probe = model.columns(model.frequencies_hz.first().copied()?, 1.0);
    // All but the resonance and its interference stay the same for every trial.
    let fixed: Vec<Vec<f64>> = fixed_columns(model.terms)
        .into_iter()
        .map(|k| probe.column(k).iter().copied().collect())
        .collect();
    let detuning = |n: usize, resonance: f64| {
        let f = model.frequencies_hz.get(n).copied().unwrap_or(resonance);
        f / resonance - resonance / f
    };
    let (resonance_hz, q, _, tried) =
        search_grid(model.frequencies_hz, &values, &fixed, |n, resonance, q| {
            let x = q * detuning(n, resonance);
            let lorentz = model.row_scale(n) / (1.0 + x * x);
            Complex64::new(lorentz, 0.0)
        })?;
    let mut best: Option<Solution> = None;
    // With interference the best plain trial may lie a line width off: start there too.
    for (shift, factor) in [(0.0, 1.0), (0.6, 1.0), (-0.6, 1.0), (0.0, 0.5)] {
        let (at, width) = (resonance_hz * (1.0 + shift / q), q * factor);
        let Some((coefficients, _)) = linear(&model.columns(at, width), &powers) else {
            continue;
        };
        let mut start = DVector::zeros(model.free());
        (start[0], start[1]) = (at.ln(), width.ln());
        start
            .rows_mut(2, coefficients.len())
            .copy_from(&coefficients);
        let Some(near) = solve(&PowerModel(model), start, None) else {
            continue;
        };
        if let Some(found) = solve(model, near.parameters, None)
            && best.as_ref().is_none_or(|b| found.squares < b.squares)
        {
            best = Some(found);
        }
        if !model.terms.interference {
            break;
        }
    }
    best.map(|solution| (solution, tried))
}

/// Indices of the level and of the slope among the columns.
fn fixed_columns(terms: Terms) -> Vec<usize> {
    let mut fixed = Vec::new();
    if terms.level {
        fixed.push(1);
    }
    if terms.slope {
        fixed.push(terms.columns() - 1);
    }
    fixed
}

/// Refuses a resonance that a level and its slope explain as well.
fn require_resonance(fitted: &Fitted<'_>) -> Result<(), FitError> {
    let Fitted {
        model,
        solution,
        tried,
        ..
    } = fitted;
    let high_hz = model.frequencies_hz.last().copied().unwrap_or(0.0);
    let columns = DMatrix::from_fn(model.amplitudes.len(), 2, |n, k| {
        if k == 0 {
            1.0
        } else {
            model.frequencies_hz[n] / high_hz
        }
    });
    let data = DVector::from_column_slice(model.amplitudes);
    let without = linear(&columns, &data).map_or(data.norm_squared(), |(_, squares)| squares);
    let added = (model.free() as f64 - 2.0).max(1.0);
    require_real(model.frequencies_hz, solution, without, added, *tried)
}

fn report(likeliest: &Fitted<'_>, mean: &Mean) -> SweepFit {
    let (model, solution) = (&likeliest.model, &likeliest.solution);
    let p = &solution.parameters;
    let residuals = solution.residuals.as_slice();
    let level = model.amplitudes.iter().sum::<f64>() / model.amplitudes.len() as f64;
    let energy = model.amplitudes.iter().map(|a| (a - level).powi(2)).sum();
    SweepFit {
        resonance_hz: mean.resonance_hz,
        q: mean.q,
        covariance_hz: mean.covariance_hz,
        shape: shape(model.terms, solution),
        background_slopes: model.terms.slope,
        curve: model
            .frequencies_hz
            .iter()
            .map(|&f| model.at(p, f))
            .collect(),
        residual: ResidualTest::of(&[residuals], solution.degrees, energy),
        residual_squares: solution.squares,
        degrees_of_freedom: solution.degrees,
    }
}

/// What the coefficients say: interference that is significant and not small against the resonance makes both peak and dip.
fn shape(terms: Terms, solution: &Solution) -> SweepShape {
    let p = &solution.parameters;
    if terms.interference {
        let deviation = solution.covariance[(4, 4)].max(0.0).sqrt();
        if p[4].abs() > NAMED * deviation {
            return SweepShape::PeakAndDip;
        }
    }
    if p[2] < 0.0 {
        SweepShape::Dip
    } else if terms.level {
        SweepShape::PeakOverBackground
    } else {
        SweepShape::Peak
    }
}
