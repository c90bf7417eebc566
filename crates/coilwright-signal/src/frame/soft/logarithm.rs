//! Sums of likelihoods that are known by their natural logarithms.

/// ln(e^a + e^b).
pub(super) fn log_sum(a: f64, b: f64) -> f64 {
    let (less, more) = if a < b { (a, b) } else { (b, a) };
    if less == f64::NEG_INFINITY {
        more
    } else {
        more + (less - more).exp().ln_1p()
    }
}

/// ln(e^more − e^less), not below the precision of the difference.
pub(super) fn log_difference(more: f64, less: f64) -> f64 {
    const LEAST: f64 = 1e-15;
    more + (-(less - more).min(0.0).exp_m1()).max(LEAST).ln()
}

/// ln of the logistic function: ln 1/(1 + e^(−x)).
pub(super) fn log_sigmoid(x: f64) -> f64 {
    x.min(0.0) - (-x.abs()).exp().ln_1p()
}
