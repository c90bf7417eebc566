use num_complex::Complex64;

/// Returns the impedance of a reflection, `Z = Z₀ (1 + S)/(1 − S)`, ohm; infinite for the reflection of a perfect open.
///
/// `reference_ohm` is the resistance that the reflection is stated against. Textbook definition.
///
/// ```
/// use coilwright_coil::reflection_to_impedance;
/// use num_complex::Complex64;
/// let z = reflection_to_impedance(Complex64::new(0.0, 1.0), 50.0);
/// assert!((z - Complex64::new(0.0, 50.0)).norm() < 1e-12);
/// ```
#[must_use]
pub fn reflection_to_impedance(reflection: Complex64, reference_ohm: f64) -> Complex64 {
    let one = Complex64::new(1.0, 0.0);
    if reflection == one {
        return Complex64::new(f64::INFINITY, 0.0);
    }
    reference_ohm * (one + reflection) / (one - reflection)
}

/// What a standard deviation of each part of the reflection makes of each part of the impedance, ohm:
/// `|dZ/dS| = 2 Z₀/|1 − S|²`.
pub(crate) fn impedance_std_dev(
    reflection: Complex64,
    reference_ohm: f64,
    reflection_std_dev: f64,
) -> f64 {
    2.0 * reference_ohm * reflection_std_dev
        / (Complex64::new(1.0, 0.0) - reflection)
            .norm_sqr()
            .max(f64::MIN_POSITIVE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn open_short_and_match() {
        let at = |re| reflection_to_impedance(Complex64::new(re, 0.0), 75.0);
        assert!(at(1.0).re.is_infinite());
        assert!(at(-1.0).norm() < 1e-12);
        assert!((at(0.0).re - 75.0).abs() < 1e-12);
    }

    #[test]
    fn the_slope_is_that_of_a_difference() {
        let (s, step) = (Complex64::new(0.3, 0.6), 1e-7);
        let moved = reflection_to_impedance(s + step, 50.0) - reflection_to_impedance(s, 50.0);
        assert!((moved.norm() / step / impedance_std_dev(s, 50.0, 1.0) - 1.0).abs() < 1e-5);
    }
}
