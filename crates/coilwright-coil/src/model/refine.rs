use super::MAX_FREE;
use super::matrix::Square;
use super::parameters::Model;
use super::project::{Evaluation, Workspace};
use super::record::Record;
use crate::least_squares::error_variance;

/// Where the nonlinear parameters may go, radians and nepers per sample.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limits {
    pub(crate) omega: (f64, f64),
    pub(crate) alpha: (f64, f64),
}

/// A converged model.
#[derive(Clone, Debug)]
pub(crate) struct Refined {
    pub(crate) model: Model,
    /// Sum of squared residuals.
    pub(crate) squares: f64,
    /// Samples minus fitted parameters.
    pub(crate) degrees: f64,
    /// Covariance of the nonlinear parameters: (ω, α) of each mode, then the drive frequency.
    pub(crate) covariance: Square<MAX_FREE>,
}

/// Steps at most; from the grid search four to eight are usual.
const MOST_STEPS: usize = 40;
/// A step that lowers the squares by less than this part of the noise variance is the last: it moves each parameter
/// by less than 1e-4 of its standard deviation.
const SETTLED: f64 = 1e-8;
/// Part of the energy below which the squares, a difference of energies, have fewer than nine digits.
const CANCELLED: f64 = 1e-7;
/// Rounding of the squares, as part of the energy.
const ROUNDING: f64 = 1e-15;

/// Finds the least squares nearest to `model` by damped Gauss–Newton steps on the projected problem.
///
/// Golub and Pereyra's variable projection in Kaufman's form. `None` if the columns become dependent.
pub(crate) fn refine(
    records: &[Record],
    model: Model,
    limits: &Limits,
    workspace: &mut Workspace,
) -> Option<Refined> {
    let samples: usize = records.iter().map(|r| r.samples.len()).sum();
    let energy: f64 = records.iter().map(|r| r.energy).sum();
    let degrees =
        (samples as f64 - (records.len() * model.columns() + model.free()) as f64).max(1.0);
    let mut model = model;
    let mut here = workspace.evaluate(records, &model)?;
    let mut damping = 1e-4;
    for _ in 0..MOST_STEPS {
        let variance = (here.squares / degrees).max(ROUNDING * energy / samples as f64);
        let (gradient, curvature) = with_prior(&here, &model, variance);
        let Some(step) = damped_step(&gradient, &curvature, damping) else {
            break;
        };
        let gain: f64 = gradient.iter().zip(&step).map(|(g, s)| g * s).sum();
        let next = stepped(&model, &step, limits);
        let there = workspace.evaluate(records, &next);
        match there {
            Some(there)
                if cost(&there, &next, variance)
                    <= cost(&here, &model, variance) + ROUNDING * energy =>
            {
                (model, here) = (next, there);
                damping = (damping * 0.1).max(1e-12);
                if gain < SETTLED * variance {
                    break;
                }
            }
            _ => {
                damping = (damping * 10.0).max(1e-3);
                if damping > 1e8 {
                    break;
                }
            }
        }
    }
    let squares = accurate_squares(records, &model, here.squares, workspace)?;
    let variance = squares / degrees;
    let (_, curvature) = with_prior(&here, &model, variance);
    let mut covariance = curvature.factor()?.inverse();
    for value in covariance.rows.as_flattened_mut() {
        *value *= error_variance(squares, degrees);
    }
    Some(Refined {
        model,
        squares,
        degrees,
        covariance,
    })
}

/// The squares summed sample by sample where their difference from the energy has lost its digits.
fn accurate_squares(
    records: &[Record],
    model: &Model,
    squares: f64,
    workspace: &mut Workspace,
) -> Option<f64> {
    let energy: f64 = records.iter().map(|r| r.energy).sum();
    if squares > CANCELLED * energy {
        return Some(squares);
    }
    let values = workspace.coefficients(records, model)?;
    let residuals = values
        .iter()
        .zip(records)
        .flat_map(|(values, record)| record.residuals(model, values));
    Some(residuals.map(|r| r * r).sum())
}

fn cost(evaluation: &Evaluation, model: &Model, variance: f64) -> f64 {
    evaluation.squares
        + model.drive.map_or(0.0, |drive| {
            variance * (drive.offset / drive.std_dev).powi(2)
        })
}

fn with_prior(
    evaluation: &Evaluation,
    model: &Model,
    variance: f64,
) -> ([f64; MAX_FREE], Square<MAX_FREE>) {
    let (mut gradient, mut curvature) = (evaluation.gradient, evaluation.curvature);
    if let Some(drive) = model.drive {
        let index = 2 * model.modes.len();
        let information = variance / drive.std_dev.powi(2);
        gradient[index] -= information * drive.offset;
        curvature.rows[index][index] += information;
    }
    (gradient, curvature)
}

fn damped_step(
    gradient: &[f64; MAX_FREE],
    curvature: &Square<MAX_FREE>,
    damping: f64,
) -> Option<[f64; MAX_FREE]> {
    let mut damped = *curvature;
    for i in 0..damped.size {
        damped.rows[i][i] *= 1.0 + damping;
    }
    Some(damped.factor()?.solve(gradient))
}

/// The model after a step that is held to one line width in frequency and a factor of 2.5 in decay.
fn stepped(model: &Model, step: &[f64; MAX_FREE], limits: &Limits) -> Model {
    let mut next = model.clone();
    for (mode, change) in next.modes.iter_mut().zip(step.chunks_exact(2)) {
        let reach = 2.0 * mode.alpha;
        mode.omega =
            (mode.omega + change[0].clamp(-reach, reach)).clamp(limits.omega.0, limits.omega.1);
        let alpha = (mode.alpha + change[1]).clamp(0.4 * mode.alpha, 2.5 * mode.alpha);
        mode.alpha = alpha.clamp(limits.alpha.0, limits.alpha.1);
    }
    if let Some(drive) = next.drive.as_mut() {
        let change = step[2 * model.modes.len()];
        drive.offset += change;
        for line in &mut next.lines {
            line.omega += line.rate * change;
        }
    }
    next
}
