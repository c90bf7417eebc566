//! How a winding's resistance grows with frequency, and what its inductance loses with it.

use crate::special::bessel_ratio;
use num_complex::Complex64;
use std::f64::consts::FRAC_PI_4;

/// `a √(ωμ₀/ρ)` at the corner, where the asymptotes of `Re h`, x²/16 and 1/(√2 x), meet: x³ = 16/√2.
const CORNER: f64 = 2.244_924_096_618_745;
/// Frequencies over the corner between which the law is worked out; below, rounding takes its sixth digit.
const RANGE: (f64, f64) = (1e-9, 1e6);

/// What the field of its neighbours makes of a round wire: `h(z) = j (J₁(z)/(z J₀(z)) − ½)`, z = x e^(−jπ/4).
///
/// `ω Re h` is the loss of [`transverse_loss_watt_per_metre`](crate::loss::transverse_loss_watt_per_metre): as f² well below the corner, where the
/// wire is 3.2 skin depths thick, as √f above. `ω Im h` is the reactance of the same currents, which the field of the loss alone fixes (both are one
/// analytic function), negative because they act against the field. The wire's own skin effect has the same two slopes.
fn reaction(frequency_over_corner: f64) -> Complex64 {
    let x = CORNER * frequency_over_corner.clamp(RANGE.0, RANGE.1).sqrt();
    let z = Complex64::from_polar(x, -FRAC_PI_4);
    Complex64::i() * (bessel_ratio(z) / z - 0.5)
}

/// Resistance over that at the reference less one, and the reactance that goes with it, both at `frequency` over the reference.
///
/// `None` as the corner: the low-frequency law `(f/f_ref)² − 1`.
pub(super) fn growth(frequency: f64, corner: Option<f64>) -> Complex64 {
    let Some(corner) = corner else {
        return Complex64::new(frequency * frequency - 1.0, 0.0);
    };
    let (here, reference) = (reaction(frequency / corner), reaction(corner.recip()));
    Complex64::new(
        frequency * here.re / reference.re - 1.0,
        frequency * (here.im - reference.im) / reference.re,
    )
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::*;
    use crate::loss::transverse_loss_watt_per_metre;

    #[test]
    fn the_loss_is_that_of_a_wire_across_the_field() {
        // Copper of 0.5 mm: d = √2 x δ with x at the corner, and δ² = ρ/(π f μ₀).
        let (diameter, rho) = (0.5e-3, 1.7241e-8);
        let loss = |f: f64| transverse_loss_watt_per_metre(diameter, rho, f).unwrap();
        let depths = 2.0_f64.sqrt() * CORNER / diameter;
        let corner_hz = depths * depths * rho / (std::f64::consts::PI * crate::MAGNETIC_CONSTANT);
        for f in [10e3, 100e3, 300e3, 1e6, 5e6] {
            let found = growth(f / 125e3, Some(corner_hz / 125e3)).re + 1.0;
            assert!((found / (loss(f) / loss(125e3)) - 1.0).abs() < 1e-9, "{f}");
        }
    }

    #[test]
    fn far_below_the_corner_it_is_the_square() {
        let (square, found) = (growth(3.0, None), growth(3.0, Some(1e6)));
        assert!((square - found).norm() < 1e-4, "{square} {found}");
    }
}
