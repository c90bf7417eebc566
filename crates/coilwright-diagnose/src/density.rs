//! Densities of a measured quantity under a fault: mixtures of normals that take the measurement's own error along.

/// One component of a mixture.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Normal {
    /// Share of the mixture.
    pub weight: f64,
    /// Mean.
    pub mean: f64,
    /// Standard deviation of the population, without measurement error.
    pub std_dev: f64,
}

/// A component from its share, mean and standard deviation.
pub(crate) const fn normal(weight: f64, mean: f64, std_dev: f64) -> Normal {
    Normal {
        weight,
        mean,
        std_dev,
    }
}

/// Part of every mixture that is spread evenly over the quantity's whole range. No fault ever rules a value out by more
/// than this share allows, since the populations are models of what rings do, not a law.
const OUTLIER_SHARE: f64 = 0.02;

/// Natural logarithm of the density of `value` measured with `std_dev`, for a quantity that ranges over `range`.
///
/// The measurement's error widens each component: the variance of the sum is the sum of the variances.
pub(crate) fn ln_density(mixture: &[Normal], value: f64, std_dev: f64, range: f64) -> f64 {
    let inside: f64 = mixture
        .iter()
        .map(|part| {
            let variance = part.std_dev.powi(2) + std_dev.powi(2);
            let distance = (value - part.mean).powi(2) / variance;
            part.weight * (-0.5 * distance).exp() / (std::f64::consts::TAU * variance).sqrt()
        })
        .sum();
    ((1.0 - OUTLIER_SHARE) * inside + OUTLIER_SHARE / range).ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_narrow_measurement_gives_the_population_density() {
        let exact = 0.98 / (std::f64::consts::TAU.sqrt() * 0.5) + 0.02 / 10.0;
        let found = ln_density(&[normal(1.0, 1.0, 0.5)], 1.0, 0.0, 10.0);
        assert!((found - exact.ln()).abs() < 1e-12);
    }

    #[test]
    fn a_far_value_is_never_ruled_out() {
        let found = ln_density(&[normal(1.0, 0.0, 0.01)], 5.0, 0.0, 10.0);
        assert!((found - (0.02_f64 / 10.0).ln()).abs() < 1e-9);
    }

    #[test]
    fn a_poor_measurement_prefers_no_population() {
        let near = ln_density(&[normal(1.0, 0.0, 0.01)], 0.0, 10.0, 100.0);
        let far = ln_density(&[normal(1.0, 1.0, 0.01)], 0.0, 10.0, 100.0);
        assert!((near - far).abs() < 0.01);
    }
}
