//! Complete elliptic integrals by the arithmetic–geometric mean (Abramowitz and Stegun 17.6.1–17.6.4).

use std::f64::consts::FRAC_PI_2;

/// Complete elliptic integrals of one modulus k, and two combinations that loops need without cancellation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Elliptic {
    /// First kind, K(k) = ∫ dθ / √(1 − k² sin² θ), over 0 to π/2.
    pub first: f64,
    /// Second kind, E(k) = ∫ √(1 − k² sin² θ) dθ.
    pub second: f64,
    /// D(k) = (K − E) / k²; π/4 at k = 0.
    pub d: f64,
    /// [(2 − k²) K − 2 E] / k⁴; π/16 at k = 0. Times k³ μ₀ √(ab) it is Maxwell's mutual inductance of coaxial circles.
    pub maxwell: f64,
}

/// More steps than double precision ever needs: the mean converges quadratically.
const MOST_STEPS: usize = 40;

/// The complete elliptic integrals of complementary parameter `k'² = 1 − k²`, from 0 (exclusive) to 1.
///
/// The complementary parameter is the argument since k near 1 (wires close together) is what coils are about: 1 − k² formed
/// afterwards would lose its digits. With a₀ = 1, b₀ = k', c₀ = k and aₙ₊₁ = (aₙ + bₙ)/2, bₙ₊₁ = √(aₙ bₙ),
/// cₙ₊₁ = (aₙ − bₙ)/2 = cₙ²/(4 aₙ₊₁): K = π/2a∞ and (K − E)/K = ½ Σ 2ⁿ cₙ² (A&S 17.6.3, 17.6.4). With k² factored out of
/// every cₙ², nothing cancels at small k. Outside 0 < k'² ≤ 1 every field is not a number.
///
/// ```
/// let e = coilwright_coil::special::elliptic(0.5);
/// assert!((e.first - 1.854_074_677_301_372).abs() < 1e-15); // A&S table 17.1, m = 0.5
/// assert!((e.second - 1.350_643_881_047_675).abs() < 1e-15);
/// ```
#[must_use]
pub fn elliptic(complementary_parameter: f64) -> Elliptic {
    let m1 = complementary_parameter;
    if !(m1 > 0.0 && m1 <= 1.0) {
        let nan = f64::NAN;
        return Elliptic {
            first: nan,
            second: nan,
            d: nan,
            maxwell: nan,
        };
    }
    let k2 = 1.0 - m1;
    let (mut a, mut b) = (1.0, m1.sqrt());
    // ratio = cₙ²/k⁴ from n = 1 on, where c₁ = k²/(2(1 + k')).
    let mut ratio = 0.25 / ((1.0 + b) * (1.0 + b));
    let mut weight = 1.0;
    let mut sum = 0.0;
    for _ in 0..MOST_STEPS {
        (a, b) = (0.5 * (a + b), (a * b).sqrt());
        let term = weight * ratio;
        sum += term;
        // cₙ₊₁² = cₙ⁴ / (16 aₙ₊₁²), in units of k⁴.
        let next = 0.5 * (a + b);
        ratio = ratio * ratio * k2 * k2 / (16.0 * next * next);
        weight *= 2.0;
        if (a - b).abs() <= f64::EPSILON * a && weight * ratio <= f64::EPSILON * sum {
            break;
        }
    }
    let first = FRAC_PI_2 / a;
    // K − E = K (k²/2 + k⁴ Σ), Σ = Σ_{n≥1} 2ⁿ⁻¹ cₙ²/k⁴.
    let d = first * (0.5 + k2 * sum);
    Elliptic {
        first,
        second: first - k2 * d,
        d,
        maxwell: 2.0 * first * sum,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_exact() {
        let e = elliptic(1.0);
        assert_eq!((e.first, e.second), (FRAC_PI_2, FRAC_PI_2));
        assert!((e.d - FRAC_PI_2 / 2.0).abs() < 1e-15);
        assert!((e.maxwell - FRAC_PI_2 / 8.0).abs() < 1e-15);
        // K → ln(4/k'), E → 1 (A&S 17.3.26, 17.3.27).
        let near = elliptic(1e-20);
        assert!((near.first - (4.0_f64 / 1e-10).ln()).abs() < 1e-14 * near.first);
        assert!((near.second - 1.0).abs() < 2e-15 * near.first);
        assert!(elliptic(0.0).first.is_nan() && elliptic(1.5).first.is_nan());
    }

    #[test]
    fn integrals_equal_their_definition() {
        // Trapezoids of the smooth periodic integrand converge geometrically.
        for m1 in [0.03, 0.2, 0.5, 0.9] {
            let n = 400;
            let mean = |f: &dyn Fn(f64) -> f64| {
                (0..n)
                    .map(|i| {
                        f((f64::from(i) * std::f64::consts::PI / f64::from(n))
                            .sin()
                            .powi(2))
                    })
                    .sum::<f64>()
                    / f64::from(n)
                    * FRAC_PI_2
            };
            let k2 = 1.0 - m1;
            let e = elliptic(m1);
            assert!((e.first - mean(&|s| (1.0 - k2 * s).sqrt().recip())).abs() < 1e-14);
            assert!((e.second - mean(&|s| (1.0 - k2 * s).sqrt())).abs() < 1e-14);
            assert!((e.d - mean(&|s| s / (1.0 - k2 * s).sqrt())).abs() < 1e-14);
        }
    }
}
