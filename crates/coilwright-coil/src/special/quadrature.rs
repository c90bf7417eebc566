//! Gauss–Legendre nodes on 0..1 and the mean of a periodic function.

use crate::ModelError;
use std::f64::consts::{PI, TAU};

/// Gauss–Legendre nodes and weights on 0 to 1.
#[derive(Clone, Debug)]
pub(crate) struct GaussLegendre {
    nodes: Vec<(f64, f64)>,
}

impl GaussLegendre {
    /// Nodes as roots of the Legendre polynomial by Newton's method from cos(π (i + ¾)/(n + ½)) (A&S 25.4.29, 22.16.6).
    pub(crate) fn new(order: usize) -> Self {
        let n = order as f64;
        let nodes = (0..order)
            .map(|i| {
                let mut x = (PI * (i as f64 + 0.75) / (n + 0.5)).cos();
                let mut slope = 1.0;
                for _ in 0..100 {
                    let (value, derivative) = legendre(order, x);
                    slope = derivative;
                    let step = value / derivative;
                    x -= step;
                    if step.abs() < 1e-16 {
                        break;
                    }
                }
                (0.5 * (1.0 - x), 1.0 / ((1.0 - x * x) * slope * slope))
            })
            .collect();
        Self { nodes }
    }

    /// Nodes that crowd towards 0, for integrands with a weak singularity there: x = tᵖ.
    pub(crate) fn crowded(order: usize, power: i32) -> Self {
        let nodes = Self::new(order)
            .iter()
            .map(|(t, w)| (t.powi(power), w * f64::from(power) * t.powi(power - 1)))
            .collect();
        Self { nodes }
    }

    /// Node and weight, from 0 to 1.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (f64, f64)> + Clone + '_ {
        self.nodes.iter().copied()
    }

    /// Integral from `low` to `high`.
    pub(crate) fn integrate(&self, low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
        let span = high - low;
        self.iter().map(|(x, w)| w * span * f(low + span * x)).sum()
    }
}

/// Legendre polynomial and its derivative, by the three-term recurrence (A&S 22.7.10, 22.8.5).
fn legendre(order: usize, x: f64) -> (f64, f64) {
    let (mut before, mut p) = (1.0, x);
    for n in 2..=order {
        let n = n as f64;
        (before, p) = (p, ((2.0 * n - 1.0) * x * p - (n - 1.0) * before) / n);
    }
    (p, order as f64 * (x * p - before) / (x * x - 1.0))
}

/// Mean over 0..2π of a smooth periodic function, by trapezoids that are doubled until they settle; the error of the trapezoid
/// rule falls geometrically there (Trefethen and Weideman 2014, theorem 3.2).
pub(crate) fn periodic_mean(
    quantity: &'static str,
    relative: f64,
    f: impl Fn(f64) -> f64,
) -> Result<f64, ModelError> {
    const MOST_POINTS: usize = 1 << 16;
    let mut points = 16;
    let values = |points: usize, offset: f64| {
        let f = &f;
        (0..points).map(move |i| f(TAU * (i as f64 + offset) / points as f64))
    };
    let mut mean = values(points, 0.0).sum::<f64>() / points as f64;
    // A mean that is zero by symmetry settles against the size of what it is the mean of.
    let size = values(points, 0.25).map(f64::abs).sum::<f64>() / points as f64;
    let mut reached = f64::INFINITY;
    while points < MOST_POINTS {
        let next = 0.5 * (mean + values(points, 0.5).sum::<f64>() / points as f64);
        reached = (next - mean).abs() / size.max(f64::MIN_POSITIVE);
        mean = next;
        points *= 2;
        // The difference of two steps bounds the error of the finer one.
        if reached <= relative {
            return Ok(mean);
        }
    }
    Err(ModelError::NotSettled {
        quantity,
        reached,
        needed: relative,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polynomials_up_to_twice_the_order_are_exact() {
        for (order, power) in [(1, 1), (2, 3), (7, 13), (24, 47), (64, 127)] {
            let rule = GaussLegendre::new(order);
            let integral = rule.integrate(0.0, 1.0, |x| x.powi(power));
            assert!(
                (integral * f64::from(power + 1) - 1.0).abs() < 1e-12,
                "{order}"
            );
        }
    }

    #[test]
    fn crowding_settles_a_logarithm() {
        let integral = GaussLegendre::crowded(24, 4).integrate(0.0, 1.0, f64::ln);
        assert!((integral + 1.0).abs() < 1e-7, "{integral}");
    }

    #[test]
    fn a_sharp_peak_is_refused_and_a_smooth_function_settles() {
        let mean = periodic_mean("test", 1e-13, |x| 1.0 / (2.0 + x.cos())).unwrap_or(f64::NAN);
        assert!((mean - 3.0_f64.sqrt().recip()).abs() < 1e-14);
        let sharp = periodic_mean("test", 1e-13, |x| (x - 1.0).abs());
        assert!(matches!(sharp, Err(ModelError::NotSettled { .. })));
    }
}
