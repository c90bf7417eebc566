/// Least variance of the frequency, and equally of the decay, of one damped complex exponential, in (radians or nepers
/// per sample)².
///
/// For `A e^(−αn + i(ωn + φ))`, `n = 0 … N−1`, in complex white noise whose real and imaginary parts each have the standard
/// deviation σ; with `z = e^(−α)`
///
/// `var = (σ²/A²) (1−z²)³ (1−z²ᴺ) / [z²(1−z²ᴺ)² − N² z²ᴺ (1−z²)²]`.
///
/// A real damped sinusoid has about twice this variance. `decay` in nepers per sample must be positive and `samples` at least 2.
///
/// ```
/// use coilwright_coil::damped_exponential_variance;
/// let variance = damped_exponential_variance(0.02, 256, 1.0, 0.1);
/// assert!((variance / 6.298_341e-7 - 1.0).abs() < 1e-6);
/// ```
///
/// # Source
///
/// Closed form after Yao and Pandit, "Variance of least squares estimators for a damped sinusoidal process", IEEE
/// Trans. Signal Processing (1994), from memory; the value above and those in the tests agree with a numerical Fisher matrix.
#[must_use]
pub fn damped_exponential_variance(
    decay: f64,
    samples: usize,
    amplitude: f64,
    noise_rms: f64,
) -> f64 {
    let n = samples as f64;
    // 1 − z² and 1 − z²ᴺ without cancellation.
    let (one, all) = (-(-2.0 * decay).exp_m1(), -(-2.0 * decay * n).exp_m1());
    let (z2, z2n) = ((-2.0 * decay).exp(), (-2.0 * decay * n).exp());
    let denominator = z2 * all * all - n * n * z2n * one * one;
    (noise_rms / amplitude).powi(2) * one.powi(3) * all / denominator
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The check values are given to seven digits.
    const SEVEN_DIGITS: f64 = 2e-7;

    #[test]
    fn published_check_values() {
        // Numerical Fisher matrix, N = 256, A = 1, σ = 0.1 (computed for this library's reference tables).
        for (decay, expected) in [
            (0.005, 2.663_196e-8),
            (0.02, 6.298_341e-7),
            (0.05, 9.524_191e-6),
        ] {
            let found = damped_exponential_variance(decay, 256, 1.0, 0.1);
            assert!(
                (found / expected - 1.0).abs() < SEVEN_DIGITS,
                "{decay}: {found}"
            );
        }
    }

    #[test]
    fn it_is_the_inverse_of_the_plain_sums() {
        // var = (σ²/A²) S₀ / (S₀S₂ − S₁²), S_m = Σ nᵐ z²ⁿ
        let (decay, samples) = (0.03, 100);
        let sum = |m: i32| {
            (0..samples)
                .map(|n| f64::from(n).powi(m) * (-2.0 * decay * f64::from(n)).exp())
                .sum::<f64>()
        };
        let expected = 0.01 * sum(0) / (sum(0) * sum(2) - sum(1).powi(2));
        let found = damped_exponential_variance(decay, samples as usize, 1.0, 0.1);
        assert!((found / expected - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_long_record_has_a_limit() {
        // N → ∞: (σ²/A²)(1−z²)³/z²
        let z2 = (-0.1_f64).exp();
        let limit = 1e-4 * (1.0 - z2).powi(3) / z2;
        assert!((damped_exponential_variance(0.05, 2000, 1.0, 0.01) / limit - 1.0).abs() < 1e-12);
    }
}
