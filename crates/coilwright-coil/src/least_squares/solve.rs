use super::error_variance;
use nalgebra::{DMatrix, DVector};

/// Most steps; from a grid search fewer than ten are usual.
const MOST_STEPS: usize = 60;
/// A step whose predicted gain is below this part of the squares moves each parameter by less than 1e-5 of its deviation.
const SETTLED: f64 = 1e-10;
/// Damping at which a step is too short to help.
const LARGEST_DAMPING: f64 = 1e10;

/// Residuals (data less model) that depend smoothly on a few parameters.
pub(crate) trait Problem {
    /// Writes the residuals and the derivatives of the *model* at these parameters; `None` where the model has no value.
    fn evaluate(
        &self,
        parameters: &DVector<f64>,
        residuals: &mut DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) -> Option<()>;

    /// Number of residuals.
    fn rows(&self) -> usize;
}

/// A converged fit.
#[derive(Clone, Debug)]
pub(crate) struct Solution {
    pub(crate) parameters: DVector<f64>,
    /// Covariance with the noise taken from the residuals.
    pub(crate) covariance: DMatrix<f64>,
    /// The same for noise of variance one: `covariance` is this times [`error_variance`].
    pub(crate) unit_covariance: DMatrix<f64>,
    pub(crate) residuals: DVector<f64>,
    /// Sum of the squared residuals, without weights.
    pub(crate) squares: f64,
    /// Residuals less parameters, at least one.
    pub(crate) degrees: f64,
}

/// Finds the least weighted squares near `start` by Levenberg's and Marquardt's damped steps.
///
/// `weights` multiply the squares; they shape the fit and are not taken for the inverse of a variance, so the covariance is
/// `H⁻¹ (JᵀW²J) H⁻¹ σ²` with `H = JᵀWJ`: that of white residuals. `None` if the parameters cannot be told apart.
///
/// Marquardt, J. SIAM 11 (1963) 431, from memory; the covariance follows from `δp = H⁻¹JᵀW ε`.
pub(crate) fn solve<P: Problem>(
    problem: &P,
    start: DVector<f64>,
    weights: Option<&DVector<f64>>,
) -> Option<Solution> {
    let (rows, free) = (problem.rows(), start.len());
    let mut here = State::new(problem, start, weights, rows)?;
    let mut damping = 1e-3;
    for _ in 0..MOST_STEPS {
        let (hessian, gradient) = here.normal(weights);
        let Some(step) = damped_step(&hessian, &gradient, damping) else {
            damping *= 10.0;
            if damping > LARGEST_DAMPING {
                break;
            }
            continue;
        };
        let gain = gradient.dot(&step);
        match State::new(problem, &here.parameters + &step, weights, rows) {
            Some(there) if there.cost <= here.cost => {
                let settled = gain <= SETTLED * there.cost / rows as f64;
                here = there;
                damping = (damping * 0.1).max(1e-14);
                if settled {
                    break;
                }
            }
            _ => {
                if gain <= SETTLED * here.cost / rows as f64 {
                    break;
                }
                damping = (damping * 10.0).max(1e-6);
                if damping > LARGEST_DAMPING {
                    break;
                }
            }
        }
    }
    finish(here, weights, rows, free)
}

struct State {
    parameters: DVector<f64>,
    residuals: DVector<f64>,
    slopes: DMatrix<f64>,
    cost: f64,
}

impl State {
    fn new<P: Problem>(
        problem: &P,
        parameters: DVector<f64>,
        weights: Option<&DVector<f64>>,
        rows: usize,
    ) -> Option<Self> {
        let mut residuals = DVector::zeros(rows);
        let mut slopes = DMatrix::zeros(rows, parameters.len());
        problem.evaluate(&parameters, &mut residuals, &mut slopes)?;
        let cost = match weights {
            Some(weights) => residuals
                .iter()
                .zip(weights.iter())
                .map(|(r, w)| w * r * r)
                .sum(),
            None => residuals.norm_squared(),
        };
        f64::is_finite(cost).then_some(Self {
            parameters,
            residuals,
            slopes,
            cost,
        })
    }

    fn normal(&self, weights: Option<&DVector<f64>>) -> (DMatrix<f64>, DVector<f64>) {
        let weighted = scaled_rows(&self.slopes, weights);
        (
            weighted.tr_mul(&self.slopes),
            weighted.tr_mul(&self.residuals),
        )
    }
}

fn scaled_rows(slopes: &DMatrix<f64>, weights: Option<&DVector<f64>>) -> DMatrix<f64> {
    let mut scaled = slopes.clone();
    if let Some(weights) = weights {
        for (mut row, weight) in scaled.row_iter_mut().zip(weights.iter()) {
            row *= *weight;
        }
    }
    scaled
}

/// Solves `(H + λ diag H) δ = g`, with the diagonal scaled to one.
fn damped_step(
    hessian: &DMatrix<f64>,
    gradient: &DVector<f64>,
    damping: f64,
) -> Option<DVector<f64>> {
    let scale = scale_of(hessian)?;
    let free = gradient.len();
    let matrix = DMatrix::from_fn(free, free, |i, j| {
        hessian[(i, j)] * scale[i] * scale[j] + if i == j { damping } else { 0.0 }
    });
    let step = matrix
        .cholesky()?
        .solve(&gradient.component_mul(&scale))
        .component_mul(&scale);
    step.iter().all(|v| v.is_finite()).then_some(step)
}

fn scale_of(hessian: &DMatrix<f64>) -> Option<DVector<f64>> {
    let scale = hessian.diagonal().map(|d| d.sqrt().recip());
    scale
        .iter()
        .all(|s| s.is_finite() && *s > 0.0)
        .then_some(scale)
}

fn inverse(hessian: &DMatrix<f64>) -> Option<DMatrix<f64>> {
    let scale = scale_of(hessian)?;
    let free = scale.len();
    let scaled = DMatrix::from_fn(free, free, |i, j| hessian[(i, j)] * scale[i] * scale[j]);
    let inverse = scaled.cholesky()?.inverse();
    Some(DMatrix::from_fn(free, free, |i, j| {
        inverse[(i, j)] * scale[i] * scale[j]
    }))
}

fn finish(
    state: State,
    weights: Option<&DVector<f64>>,
    rows: usize,
    free: usize,
) -> Option<Solution> {
    let (hessian, _) = state.normal(weights);
    let inverse = inverse(&hessian)?;
    let unit_covariance = match weights {
        Some(_) => {
            let weighted = scaled_rows(&state.slopes, weights);
            &inverse * weighted.tr_mul(&weighted) * &inverse
        }
        None => inverse,
    };
    let squares = state.residuals.norm_squared();
    let degrees = (rows as f64 - free as f64).max(1.0);
    Some(Solution {
        covariance: &unit_covariance * error_variance(squares, degrees),
        unit_covariance,
        parameters: state.parameters,
        residuals: state.residuals,
        squares,
        degrees,
    })
}

/// The coefficients of the columns that lie nearest to `values`, and the squares that remain.
///
/// Normal equations with columns scaled to unit length; `None` if the columns are dependent.
pub(crate) fn linear(columns: &DMatrix<f64>, values: &DVector<f64>) -> Option<(DVector<f64>, f64)> {
    let hessian = columns.tr_mul(columns);
    let gradient = columns.tr_mul(values);
    let solution = damped_step(&hessian, &gradient, 0.0)?;
    let squares = (values - columns * &solution).norm_squared();
    Some((solution, squares))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::*;

    /// `A e^(−kx)` at 0, 1, 2, …
    struct Decay(Vec<f64>);

    impl Problem for Decay {
        fn evaluate(
            &self,
            parameters: &DVector<f64>,
            residuals: &mut DVector<f64>,
            slopes: &mut DMatrix<f64>,
        ) -> Option<()> {
            for (n, y) in self.0.iter().enumerate() {
                let x = n as f64;
                let shape = (-parameters[1] * x).exp();
                residuals[n] = y - parameters[0] * shape;
                slopes[(n, 0)] = shape;
                slopes[(n, 1)] = -parameters[0] * x * shape;
            }
            Some(())
        }

        fn rows(&self) -> usize {
            self.0.len()
        }
    }

    #[test]
    fn an_exact_decay_is_found_from_afar() {
        let problem = Decay((0..20).map(|n| 3.0 * (-0.3 * f64::from(n)).exp()).collect());
        let found = solve(&problem, DVector::from_vec(vec![1.0, 1.0]), None).unwrap();
        assert!((found.parameters[0] - 3.0).abs() < 1e-9, "{found:?}");
        assert!((found.parameters[1] - 0.3).abs() < 1e-9);
    }

    #[test]
    fn a_line_has_the_covariance_of_the_textbook() {
        struct Line(Vec<f64>);
        impl Problem for Line {
            fn evaluate(
                &self,
                parameters: &DVector<f64>,
                residuals: &mut DVector<f64>,
                slopes: &mut DMatrix<f64>,
            ) -> Option<()> {
                for (n, y) in self.0.iter().enumerate() {
                    let x = n as f64;
                    residuals[n] = y - parameters[0] - parameters[1] * x;
                    slopes[(n, 0)] = 1.0;
                    slopes[(n, 1)] = x;
                }
                Some(())
            }
            fn rows(&self) -> usize {
                self.0.len()
            }
        }
        // Residuals of ±1 about a level: slope variance σ²/Σ(x−x̄)², Σ(x−x̄)² = n(n²−1)/12; eight degrees are left, and t has 8/6 of the variance.
        let line = Line(
            (0..10)
                .map(|n| if n % 2 == 0 { 1.0 } else { -1.0 })
                .collect(),
        );
        let found = solve(&line, DVector::zeros(2), None).unwrap();
        let expected = found.squares / 6.0 / (10.0 * 99.0 / 12.0);
        assert!((found.covariance[(1, 1)] / expected - 1.0).abs() < 1e-12);
        // Equal weights change nothing.
        let weights = DVector::from_element(10, 4.0);
        let same = solve(&line, DVector::zeros(2), Some(&weights)).unwrap();
        assert!((&same.covariance - &found.covariance).norm() < 1e-12);
    }
}
