//! Tail probabilities of the F distribution.

/// Probability that an F-distributed value with `numerator` and `denominator` degrees of freedom exceeds `value`.
///
/// `P = I_x(d₂/2, d₁/2)` at `x = d₂ / (d₂ + d₁ F)` (Abramowitz and Stegun 26.6.2).
pub(crate) fn f_exceeds(value: f64, numerator: f64, denominator: f64) -> f64 {
    if value.is_nan() || value <= 0.0 {
        return 1.0;
    }
    incomplete_beta(
        denominator / (denominator + numerator * value),
        0.5 * denominator,
        0.5 * numerator,
    )
}

/// The regularised incomplete beta function `I_x(a, b)` by its continued fraction (Abramowitz and Stegun 26.5.8).
fn incomplete_beta(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    let front = (ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * (-x).ln_1p()).exp();
    if x < (a + 1.0) / (a + b + 2.0) {
        front * fraction(x, a, b) / a
    } else {
        1.0 - front * fraction(1.0 - x, b, a) / b
    }
}

fn fraction(x: f64, a: f64, b: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let guard = |v: f64| if v.abs() < TINY { TINY } else { v };
    let mut c = 1.0;
    let mut d = guard(1.0 - (a + b) * x / (a + 1.0)).recip();
    let mut value = d;
    for m in 1..400 {
        let m = f64::from(m);
        for term in [
            m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0)),
        ] {
            d = guard(1.0 + term * d).recip();
            c = guard(1.0 + term / c);
            value *= d * c;
        }
        if (d * c - 1.0).abs() < 1e-12 {
            break;
        }
    }
    value
}

/// Logarithm of the gamma function: Stirling's series after shifting the argument above 10 (A&S 6.1.41).
pub(crate) fn ln_gamma(x: f64) -> f64 {
    let (mut shifted, mut product) = (x, 1.0);
    while shifted < 10.0 {
        product *= shifted;
        shifted += 1.0;
    }
    let inverse = shifted.recip();
    let square = inverse * inverse;
    let series =
        inverse * (1.0 / 12.0 - square * (1.0 / 360.0 - square * (1.0 / 1260.0 - square / 1680.0)));
    (shifted - 0.5) * shifted.ln() - shifted + 0.5 * std::f64::consts::TAU.ln() + series
        - product.ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_numerator_degrees_have_a_closed_form() {
        // P(F > f; 2, d) = (1 + 2 f / d)^(-d/2)
        for (f, d) in [(0.5, 4.0_f64), (3.0, 30.0), (12.0, 200.0), (40.0, 1000.0)] {
            let exact = (1.0 + 2.0 * f / d).powf(-0.5 * d);
            assert!((f_exceeds(f, 2.0, d) / exact - 1.0).abs() < 1e-9, "{f} {d}");
        }
    }

    #[test]
    fn the_upper_five_percent_points_are_those_of_the_tables() {
        // Abramowitz and Stegun table 26.9: F(0.05) for (4, 10) is 3.48, for (5, 20) is 2.71, for (1, 120) is 3.92.
        for (f, a, b) in [(3.48, 4.0, 10.0), (2.71, 5.0, 20.0), (3.92, 1.0, 120.0)] {
            assert!(
                (f_exceeds(f, a, b) - 0.05).abs() < 2e-4,
                "{f}: {}",
                f_exceeds(f, a, b)
            );
        }
    }
}
