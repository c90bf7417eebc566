use super::parameters::Pole;
use num_complex::Complex64;

/// `Σ nᵏ wⁿ` over `n = 0 .. count`, for `k = 0, 1, 2`.
///
/// By doubling: the sums over `2m` terms are those over `m` terms plus the same shifted by `m`,
/// `S₁(2m) = S₁ + wᵐ(S₁ + m S₀)` and so on. Nothing is divided by `1 − w`, so it holds on and near `w = 1`.
pub(crate) fn power_sums(w: Complex64, count: usize) -> [Complex64; 3] {
    let zero = Complex64::new(0.0, 0.0);
    let mut sums = [zero; 3];
    let mut power = Complex64::new(1.0, 0.0);
    let mut done = 0.0_f64;
    for bit in (0..usize::BITS - count.leading_zeros()).rev() {
        let [s0, s1, s2] = sums;
        sums = [
            s0 + power * s0,
            s1 + power * (s1 + s0 * done),
            s2 + power * (s2 + s1 * (2.0 * done) + s0 * (done * done)),
        ];
        power *= power;
        done *= 2.0;
        if count >> bit & 1 == 1 {
            sums[0] += power;
            sums[1] += power * done;
            sums[2] += power * (done * done);
            power *= w;
            done += 1.0;
        }
    }
    sums
}

/// `Σ wⁿ` over `n = 0 .. count`, by doubling.
pub(crate) fn power_sum(w: Complex64, count: usize) -> Complex64 {
    let (mut sum, mut power) = (Complex64::new(0.0, 0.0), Complex64::new(1.0, 0.0));
    for bit in (0..usize::BITS - count.leading_zeros()).rev() {
        sum += power * sum;
        power *= power;
        if count >> bit & 1 == 1 {
            sum += power;
            power *= w;
        }
    }
    sum
}

/// Least `|1 − w|²` at which the closed form keeps ten digits of a sum of a few thousand terms.
const APART: f64 = 1e-6;

/// A ratio and its power behind the last term of a geometric sum; products of them need no further powers.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Geometric {
    pub(crate) ratio: Complex64,
    pub(crate) last: Complex64,
}

impl Geometric {
    /// Of a mode over `count` terms.
    pub(crate) fn new(pole: Pole, count: usize) -> Self {
        let terms = count as f64;
        let last = Complex64::from_polar((-pole.alpha * terms).exp(), pole.omega * terms);
        Self {
            ratio: pole.ratio(),
            last,
        }
    }

    pub(crate) fn conj(self) -> Self {
        Self {
            ratio: self.ratio.conj(),
            last: self.last.conj(),
        }
    }

    pub(crate) fn times(self, other: Self) -> Self {
        Self {
            ratio: self.ratio * other.ratio,
            last: self.last * other.last,
        }
    }

    /// `Σ wⁿ = (1 − w^count)/(1 − w)`, by doubling near `w = 1`.
    pub(crate) fn sum(self, count: usize) -> Complex64 {
        let below = 1.0 - self.ratio;
        let square = below.norm_sqr();
        if square < APART {
            return power_sum(self.ratio, count);
        }
        (1.0 - self.last) * below.conj() / square
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_closed_form_equals_doubling() {
        for (omega, alpha) in [(0.7, 0.02), (1e-4, 1e-5), (2e-3, 5e-4), (3.0, 1.5)] {
            for count in [1_usize, 8, 255, 1024, 5000] {
                let pole = Pole { omega, alpha };
                let geometric = Geometric::new(pole, count);
                let plain = power_sum(geometric.ratio, count);
                assert!((geometric.sum(count) - plain).norm() < 1e-9 * (1.0 + plain.norm()));
                let square = geometric.times(geometric.conj());
                let plain = power_sum(square.ratio, count);
                assert!((square.sum(count) - plain).norm() < 1e-9 * (1.0 + plain.norm()));
            }
        }
    }

    /// Rounding of a few hundred additions.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn doubling_equals_the_plain_sum() {
        for count in [0_u32, 1, 2, 3, 7, 64, 255, 256, 1000] {
            for w in [
                Complex64::new(1.0, 0.0),
                Complex64::from_polar(0.999, 1e-4),
                Complex64::from_polar(0.97, 0.7),
                Complex64::from_polar(1.0, 3.1),
            ] {
                let mut plain = [Complex64::new(0.0, 0.0); 3];
                for n in 0..count {
                    let term = w.powu(n);
                    let t = f64::from(n);
                    plain[0] += term;
                    plain[1] += term * t;
                    plain[2] += term * (t * t);
                }
                let scale = f64::from(count.max(1));
                let count = count as usize;
                assert!((power_sum(w, count) - plain[0]).norm() <= ROUNDING * scale);
                for (k, (a, b)) in (0..).zip(power_sums(w, count).iter().zip(plain)) {
                    assert!(
                        (a - b).norm() <= ROUNDING * scale.powi(k + 1),
                        "{count} {w} {k}"
                    );
                }
            }
        }
    }
}
