//! How probable each combination of terms is, and the mean over them.

use super::model::AmplitudeModel;
use crate::Estimate;
use crate::least_squares::{Solution, covariance, propagate};
use crate::model::significance::ln_gamma;
use nalgebra::DMatrix;
use std::f64::consts::TAU;

/// A combination that is so many times less probable than the likeliest is left out of the mean: "Occam's window" (Madigan and Raftery,
/// J. Am. Stat. Assoc. 89 (1994) 1535, from memory, use 20).
const WINDOW: f64 = 20.0;
/// Residuals are no smaller than this part of the data: rounding.
const ROUNDING: f64 = 1e-12;
/// Q is not determined where its logarithm has a larger deviation: the posterior is no normal distribution then.
const UNDETERMINED: f64 = 1.0;

/// One combination of terms, fitted.
pub(super) struct Fitted<'a> {
    pub(super) model: AmplitudeModel<'a>,
    pub(super) solution: Solution,
    /// Trials of the grid that it started from.
    pub(super) tried: usize,
    log_evidence: f64,
}

impl<'a> Fitted<'a> {
    pub(super) fn new(model: AmplitudeModel<'a>, solution: Solution, tried: usize) -> Self {
        Self {
            log_evidence: log_evidence(&model, &solution),
            model,
            solution,
            tried,
        }
    }
}

/// Resonance and Q of all combinations together.
pub(super) struct Mean {
    pub(super) resonance_hz: Estimate,
    pub(super) q: Estimate,
    pub(super) covariance_hz: f64,
}

/// The likeliest combination first; of those that determine nothing, the one with the least squares.
pub(super) fn sort(fitted: &mut [Fitted<'_>]) {
    let squares = |f: &Fitted<'_>| f.solution.squares;
    fitted.sort_by(|a, b| {
        let likelier = b.log_evidence.total_cmp(&a.log_evidence);
        likelier.then(squares(a).total_cmp(&squares(b)))
    });
}

/// Logarithm of the probability of the amplitudes under a combination of terms, all noise levels, but for what all combinations share.
///
/// With white noise of unknown deviation σ, evenly distributed in ln σ, and a likelihood that is normal in the k parameters near
/// its top, the integral over them and over σ is `(2π)^(k/2) |JᵀJ|^(−1/2) Γ((n−k)/2) (S/2)^(−(n−k)/2)` times the density of the parameters before
/// the measurement (Bretthorst, Lecture Notes in Statistics 48 (1988), from memory). That density is the same for all
/// combinations but for the optional terms. Each of those may be anything that the curve's height allows: the level from nothing to the
/// largest power P, the slope from −P/2 to P/2 at the band's ends; interference `c x/(1+x²)` puts peak and dip c apart, from −P to P.
/// So a term has to gain more the finer the measurement would resolve it, which is what makes the significance level of Schwarz's criterion
/// too generous here.
fn log_evidence(model: &AmplitudeModel<'_>, solution: &Solution) -> f64 {
    let (count, free) = (model.amplitudes.len() as f64, model.free() as f64);
    let energy: f64 = model.amplitudes.iter().map(|a| a * a).sum();
    let squares = solution
        .squares
        .max(ROUNDING * ROUNDING * energy)
        .max(f64::MIN_POSITIVE);
    let undetermined = solution.covariance[(1, 1)].sqrt() > UNDETERMINED;
    let (Some(log_volume), false) = (
        half_log_determinant(&solution.unit_covariance),
        undetermined,
    ) else {
        return f64::NEG_INFINITY;
    };
    let half = 0.5 * (count - free);
    let log = log_volume + 0.5 * free * TAU.ln() + ln_gamma(half)
        - half * (0.5 * squares).ln()
        - log_ranges(model);
    if log.is_finite() {
        log
    } else {
        f64::NEG_INFINITY
    }
}

/// Logarithm of the product of the optional terms' ranges.
fn log_ranges(model: &AmplitudeModel<'_>) -> f64 {
    let height = model
        .amplitudes
        .iter()
        .fold(f64::MIN_POSITIVE, |m, a| m.max(a * a));
    let terms = model.terms;
    [
        (terms.level, height),
        (terms.interference, 2.0 * height),
        (terms.slope, height),
    ]
    .iter()
    .filter(|(taken, _)| *taken)
    .map(|(_, range)| range.ln())
    .sum()
}

/// Half the logarithm of a covariance's determinant, by its correlations: the parameters' units differ widely.
fn half_log_determinant(covariance: &DMatrix<f64>) -> Option<f64> {
    let deviation = covariance.diagonal().map(f64::sqrt);
    let correlation = DMatrix::from_fn(covariance.nrows(), covariance.ncols(), |i, j| {
        covariance[(i, j)] / (deviation[i] * deviation[j])
    });
    let factor = correlation.cholesky()?;
    let logs = |values: &[f64]| values.iter().map(|v| v.ln()).sum::<f64>();
    Some(logs(deviation.as_slice()) + logs(factor.l_dirty().diagonal().as_slice()))
}

/// The mean over the combinations by their probability. Its variance is the mean variance and the variance of the values about the mean: what is
/// stated includes the choice (Hoeting et al., Statistical Science 14 (1999) 382, from memory).
///
/// The combinations are sorted; those that `holds` refuses and those outside the window do not take part.
pub(super) fn mean(fitted: &[Fitted<'_>], holds: impl Fn(&Fitted<'_>) -> bool) -> Option<Mean> {
    let most = fitted.first()?.log_evidence;
    let mut parts = Vec::new();
    for one in fitted {
        let weight = if parts.is_empty() {
            1.0
        } else {
            (one.log_evidence - most).exp()
        };
        if parts.is_empty() || (weight * WINDOW >= 1.0 && holds(one)) {
            let (resonance, q) = (
                propagate(&one.solution, |p| p[0].exp()),
                propagate(&one.solution, |p| p[1].exp()),
            );
            let shared = covariance(&one.solution, |p| p[0].exp(), |p| p[1].exp());
            parts.push((weight, resonance, q, shared));
        }
    }
    let total: f64 = parts.iter().map(|p| p.0).sum();
    let over = |of: &dyn Fn(&Estimate, &Estimate, f64) -> f64| {
        parts
            .iter()
            .map(|(weight, f, q, shared)| weight * of(f, q, *shared))
            .sum::<f64>()
            / total
    };
    let (f, q) = (over(&|f, _, _| f.value), over(&|_, q, _| q.value));
    let variance = |e: &Estimate, centre: f64| e.std_dev.powi(2) + (e.value - centre).powi(2);
    Some(Mean {
        resonance_hz: Estimate::new(f, over(&|e, _, _| variance(e, f)).sqrt()),
        q: Estimate::new(q, over(&|_, e, _| variance(e, q)).sqrt()),
        covariance_hz: over(&|a, b, shared| shared + (a.value - f) * (b.value - q)),
    })
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test that meets nothing must fail")]
mod tests {
    use super::*;
    use crate::Quantity;
    use crate::sweep::model::Terms;
    use nalgebra::DVector;

    fn fitted(log_evidence: f64, resonance_hz: f64) -> Fitted<'static> {
        let parameters = DVector::from_vec(vec![resonance_hz.ln(), 3.0, 1.0]);
        let solution = Solution {
            covariance: DMatrix::from_diagonal(&DVector::from_element(3, 1e-12)),
            unit_covariance: DMatrix::identity(3, 3),
            residuals: DVector::zeros(12),
            squares: 1.0,
            degrees: 9.0,
            parameters,
        };
        Fitted {
            model: AmplitudeModel::new(&[], &[], Terms::ALL[0], Quantity::default()),
            solution,
            tried: 1,
            log_evidence,
        }
    }

    #[test]
    fn two_that_are_equally_probable_state_half_their_distance() {
        let two = [fitted(0.0, 1000.0), fitted(0.0, 1002.0)];
        let both = mean(&two, |_| true).unwrap();
        assert!((both.resonance_hz.value - 1001.0).abs() < 1e-6);
        // 1 Hz from either mean, and 1e-6 of 1000 Hz of their own.
        assert!((both.resonance_hz.std_dev - 1.0).abs() < 1e-5);
        let one = mean(&two, |_| false).unwrap();
        assert!((one.resonance_hz.value - 1000.0).abs() < 1e-6);
        assert!((one.resonance_hz.std_dev / 1e-3 - 1.0).abs() < 1e-5);
    }

    #[test]
    fn the_improbable_and_the_undetermined_do_not_take_part() {
        let some = [
            fitted(0.0, 1000.0),
            fitted(-4.0, 1200.0),
            fitted(f64::NEG_INFINITY, 1900.0),
        ];
        let found = mean(&some, |_| true).unwrap();
        assert!((found.resonance_hz.value - 1000.0).abs() < 1e-6);
    }

    #[test]
    fn the_determinant_is_that_of_two_by_two() {
        let covariance = DMatrix::from_row_slice(2, 2, &[4e-20, 3e-8, 3e-8, 9e4]);
        let exact = 0.5 * (4e-20_f64 * 9e4 - 9e-16).ln();
        assert!((half_log_determinant(&covariance).unwrap() - exact).abs() < 1e-12);
    }
}
