//! Ratio of Bessel functions of complex argument, by continued fraction.

use num_complex::Complex64;

/// J₁(z)/J₀(z).
///
/// From the recurrence `J_{n−1} + J_{n+1} = (2n/z) J_n` (A&S 9.1.27) follows J₁/J₀ = 1/(2/z − 1/(4/z − 1/(6/z − …))), which
/// converges to the minimal solution J for every z off the real axis; it is summed by the modified Lentz method. Relative
/// accuracy 1e-13 for |z| up to 1000 along arg z = ±π/4, where wires need it; poles lie on the real axis only.
///
/// ```
/// use num_complex::Complex64;
/// let ratio = coilwright_coil::special::bessel_ratio(Complex64::new(1e-3, -1e-3));
/// assert!((ratio - Complex64::new(0.5e-3, -0.5e-3)).norm() < 1e-9); // z/2 for small z
/// ```
#[must_use]
pub fn bessel_ratio(z: Complex64) -> Complex64 {
    const TINY: f64 = 1e-300;
    /// Rounding of one step: less is seldom reached.
    const SETTLED: f64 = 8.0 * f64::EPSILON;
    let one = Complex64::new(1.0, 0.0);
    if z.norm() < 1e-8 {
        return z * 0.5;
    }
    // f = b1 + a2/(b2 + a3/(b3 + …)), b_n = 2n/z, a_n = −1; the ratio is 1/f.
    let inverse = one / z;
    let mut f = 2.0 * inverse;
    let (mut c, mut d) = (f, Complex64::new(0.0, 0.0));
    let most = 2000 + 4 * z.norm().min(1e5) as usize;
    for n in 2..most {
        let b = 2.0 * n as f64 * inverse;
        d = b - d;
        if d.norm() < TINY {
            d = Complex64::new(TINY, 0.0);
        }
        c = b - one / c;
        if c.norm() < TINY {
            c = Complex64::new(TINY, 0.0);
        }
        d = one / d;
        let step = c * d;
        f *= step;
        if (step - one).norm() < SETTLED && n as f64 > z.norm() {
            break;
        }
    }
    one / f
}

#[cfg(test)]
mod tests {
    use super::*;

    /// J₀ and J₁ by their power series (A&S 9.1.10), good to 1e-12 up to |z| = 6.
    fn series(z: Complex64) -> Complex64 {
        let q = -z * z * 0.25;
        let (mut j0, mut j1) = (Complex64::new(1.0, 0.0), Complex64::new(1.0, 0.0));
        let (mut t0, mut t1) = (j0, j1);
        for m in 1..60 {
            let m = f64::from(m);
            t0 = t0 * q / (m * m);
            t1 = t1 * q / (m * (m + 1.0));
            j0 += t0;
            j1 += t1;
        }
        z * 0.5 * j1 / j0
    }

    #[test]
    fn fraction_equals_series() {
        for x in [0.01, 0.5, 1.0, 2.0, 4.0, 6.0] {
            let z = Complex64::from_polar(x, -std::f64::consts::FRAC_PI_4);
            assert!((bessel_ratio(z) / series(z) - 1.0).norm() < 1e-12, "{x}");
        }
    }

    #[test]
    fn fraction_tends_to_the_asymptote() {
        // J₁/J₀ → tan(z − π/4) → −j for Im z → −∞ (A&S 9.2.1), with 1/2z as the next term (9.2.9, 9.2.10).
        let z = Complex64::from_polar(1000.0, -std::f64::consts::FRAC_PI_4);
        let expected = -Complex64::i() + 0.5 / z;
        assert!((bessel_ratio(z) - expected).norm() < 1e-6);
    }
}
