use super::Solution;
use crate::Estimate;
use nalgebra::DVector;

/// Part of a standard deviation by which each parameter is moved to take a slope.
const STEP: f64 = 1e-3;

/// The value of a function of the fitted parameters, with the standard deviation that it inherits (to first order).
pub(crate) fn propagate(solution: &Solution, value: impl Fn(&DVector<f64>) -> f64) -> Estimate {
    let slopes = slopes(solution, &value);
    Estimate::new(
        value(&solution.parameters),
        (slopes.dot(&(&solution.covariance * &slopes)))
            .max(0.0)
            .sqrt(),
    )
}

/// The covariance of two functions of the fitted parameters.
pub(crate) fn covariance(
    solution: &Solution,
    first: impl Fn(&DVector<f64>) -> f64,
    second: impl Fn(&DVector<f64>) -> f64,
) -> f64 {
    slopes(solution, &first).dot(&(&solution.covariance * slopes(solution, &second)))
}

/// Central differences over steps that are small against the parameters' own uncertainty.
fn slopes(solution: &Solution, value: &impl Fn(&DVector<f64>) -> f64) -> DVector<f64> {
    let parameters = &solution.parameters;
    DVector::from_fn(parameters.len(), |k, _| {
        let deviation = solution.covariance[(k, k)].max(0.0).sqrt();
        // Data without noise leave no deviation; then the step is that of the fourth root of the rounding.
        let step = (STEP * deviation).max(1e-6 * parameters[k].abs().max(1e-6));
        let at = |sign: f64| {
            let mut moved = parameters.clone();
            moved[k] += sign * step;
            value(&moved)
        };
        (at(1.0) - at(-1.0)) / (2.0 * step)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::DMatrix;

    #[test]
    fn a_product_has_the_textbook_variance() {
        let solution = Solution {
            parameters: DVector::from_vec(vec![3.0, 5.0]),
            covariance: DMatrix::from_row_slice(2, 2, &[0.01, 0.002, 0.002, 0.04]),
            unit_covariance: DMatrix::zeros(2, 2),
            residuals: DVector::zeros(1),
            squares: 0.0,
            degrees: 1.0,
        };
        let found = propagate(&solution, |p| p[0] * p[1]);
        // var(xy) = y²var(x) + x²var(y) + 2xy cov(x, y)
        let expected = (25.0 * 0.01 + 9.0 * 0.04 + 30.0 * 0.002_f64).sqrt();
        assert!(
            (found.value - 15.0).abs() < 1e-12 && (found.std_dev / expected - 1.0).abs() < 1e-6
        );
        assert!((covariance(&solution, |p| p[0], |p| p[1]) - 0.002).abs() < 1e-9);
    }
}
