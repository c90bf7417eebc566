use num_complex::Complex64;
use pulp::{Simd, WithSimd};

/// Samples of one block; inside it the powers come from a table, from block to block by a recursion.
pub(crate) const BLOCK: usize = 32;

/// `Σ xₙ pⁿ`, and the power behind the last sample.
pub(crate) fn moment(samples: &[f64], ratio: Complex64) -> (Complex64, Complex64) {
    pulp::Arch::new().dispatch(Moment { samples, ratio })
}

/// `Σ xₙ pⁿ` and `Σ xₙ n pⁿ`.
pub(crate) fn moments(samples: &[f64], ratio: Complex64) -> [Complex64; 2] {
    pulp::Arch::new().dispatch(Moments { samples, ratio })
}

struct Moment<'a> {
    samples: &'a [f64],
    ratio: Complex64,
}

impl WithSimd for Moment<'_> {
    type Output = (Complex64, Complex64);

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Self::Output {
        let (table, step) = Table::powers(simd, self.ratio);
        let (mut power, mut sum) = (Complex64::new(1.0, 0.0), Lanes::zero(simd));
        let (whole, rest) = blocks(self.samples);
        for x in whole {
            sum = table.product(simd, x).times_add(simd, power, sum);
            power *= step;
        }
        if let Some(x) = rest {
            sum = table.product(simd, &x).times_add(simd, power, sum);
            power *= table.get(self.samples.len() % BLOCK);
        }
        (sum.total(simd), power)
    }
}

struct Moments<'a> {
    samples: &'a [f64],
    ratio: Complex64,
}

impl WithSimd for Moments<'_> {
    type Output = [Complex64; 2];

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Self::Output {
        let (plain, step) = Table::powers(simd, self.ratio);
        let weighted = plain.weighted();
        let (mut power, mut first) = (Complex64::new(1.0, 0.0), 0.0);
        let (mut zeroth, mut once) = (Lanes::zero(simd), Lanes::zero(simd));
        let (whole, rest) = blocks(self.samples);
        for x in whole.iter().chain(&rest) {
            let product = plain.product(simd, x);
            zeroth = product.times_add(simd, power, zeroth);
            once = product.times_add(simd, power * first, once);
            once = weighted.product(simd, x).times_add(simd, power, once);
            power *= step;
            first += BLOCK as f64;
        }
        [zeroth.total(simd), once.total(simd)]
    }
}

/// Complex numbers side by side.
#[derive(Clone, Copy)]
struct Lanes<S: Simd> {
    re: S::f64s,
    im: S::f64s,
}

impl<S: Simd> Lanes<S> {
    #[expect(clippy::inline_always, reason = "part of a dispatched body")]
    #[inline(always)]
    fn zero(simd: S) -> Self {
        let zero = simd.splat_f64s(0.0);
        Self { re: zero, im: zero }
    }

    /// `factor` times these, plus the others.
    #[expect(clippy::inline_always, reason = "part of a dispatched body")]
    #[inline(always)]
    fn times_add(self, simd: S, factor: Complex64, others: Self) -> Self {
        let [re, im, minus] = [factor.re, factor.im, -factor.im].map(|v| simd.splat_f64s(v));
        let direct = simd.mul_add_e_f64s(re, self.re, others.re);
        let turned = simd.mul_add_e_f64s(re, self.im, others.im);
        Self {
            re: simd.mul_add_e_f64s(minus, self.im, direct),
            im: simd.mul_add_e_f64s(im, self.re, turned),
        }
    }

    #[expect(clippy::inline_always, reason = "part of a dispatched body")]
    #[inline(always)]
    fn total(self, simd: S) -> Complex64 {
        Complex64::new(simd.reduce_sum_f64s(self.re), simd.reduce_sum_f64s(self.im))
    }
}

/// `pˡ`, or `l pˡ`, for the samples of one block.
struct Table {
    re: [f64; BLOCK],
    im: [f64; BLOCK],
}

impl Table {
    /// `p⁰ … p³¹`, and `p³²`, by doubling: the products of one step wait for none of their own.
    #[expect(clippy::inline_always, reason = "part of a dispatched body")]
    #[inline(always)]
    fn powers<S: Simd>(simd: S, ratio: Complex64) -> (Self, Complex64) {
        let (mut re, mut im) = ([0.0; BLOCK], [0.0; BLOCK]);
        re[0] = 1.0;
        let (mut done, mut step) = (1, ratio);
        while done < BLOCK {
            let (known, fresh) = re.split_at_mut(done);
            let (known_im, fresh_im) = im.split_at_mut(done);
            let (lanes_re, rest) = S::as_simd_f64s(known);
            if rest.is_empty() {
                let lanes = lanes_re.iter().zip(S::as_simd_f64s(known_im).0);
                let fresh = S::as_mut_simd_f64s(fresh).0.iter_mut();
                let fresh = fresh.zip(S::as_mut_simd_f64s(fresh_im).0);
                for ((&re, &im), to) in lanes.zip(fresh) {
                    let product = Lanes { re, im }.times_add(simd, step, Lanes::zero(simd));
                    (*to.0, *to.1) = (product.re, product.im);
                }
            } else {
                for l in 0..done {
                    fresh[l] = known[l] * step.re - known_im[l] * step.im;
                    fresh_im[l] = known[l] * step.im + known_im[l] * step.re;
                }
            }
            step *= step;
            done *= 2;
        }
        (Self { re, im }, step)
    }

    #[expect(clippy::inline_always, reason = "part of a dispatched body")]
    #[inline(always)]
    fn weighted(&self) -> Self {
        Self {
            re: std::array::from_fn(|l| self.re[l] * l as f64),
            im: std::array::from_fn(|l| self.im[l] * l as f64),
        }
    }

    #[expect(clippy::inline_always, reason = "part of a dispatched body")]
    #[inline(always)]
    fn get(&self, index: usize) -> Complex64 {
        Complex64::new(self.re[index], self.im[index])
    }

    /// Products with a block of samples, summed within each lane.
    #[expect(clippy::inline_always, reason = "part of a dispatched body")]
    #[inline(always)]
    fn product<S: Simd>(&self, simd: S, x: &[f64; BLOCK]) -> Lanes<S> {
        let [re, im, x] = [&self.re, &self.im, x].map(|values| S::as_simd_f64s(values).0);
        let mut sum = Lanes::zero(simd);
        for ((&re, &im), &x) in re.iter().zip(im).zip(x) {
            sum.re = simd.mul_add_e_f64s(re, x, sum.re);
            sum.im = simd.mul_add_e_f64s(im, x, sum.im);
        }
        sum
    }
}

/// The whole blocks of samples, and the rest, if there is one, filled up with zeros.
#[expect(clippy::inline_always, reason = "part of a dispatched body")]
#[inline(always)]
fn blocks(samples: &[f64]) -> (&[[f64; BLOCK]], Option<[f64; BLOCK]>) {
    let (whole, rest) = samples.as_chunks::<BLOCK>();
    let filled_up = || std::array::from_fn(|l| rest.get(l).copied().unwrap_or(0.0));
    (whole, (!rest.is_empty()).then(filled_up))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of the recursion over 100 samples.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn blocks_equal_the_plain_sum() {
        let ratio = Complex64::from_polar(0.98, 0.9);
        for length in [0_u32, 1, 31, 32, 33, 100] {
            let samples: Vec<f64> = (0..length).map(|n| f64::from(n * 37 % 11) - 4.25).collect();
            let samples = &samples;
            let mut plain = [Complex64::new(0.0, 0.0); 2];
            for (n, &x) in samples.iter().enumerate() {
                let term = ratio.powu(n as u32) * x;
                plain[0] += term;
                plain[1] += term * n as f64;
            }
            let found = moments(samples, ratio);
            assert!((found[0] - plain[0]).norm() < ROUNDING * 100.0, "{length}");
            let (sum, behind) = moment(samples, ratio);
            assert_eq!(sum, found[0]);
            assert!((behind - ratio.powu(length)).norm() < ROUNDING, "{length}");
            assert!((found[1] - plain[1]).norm() < ROUNDING * 1e4, "{length}");
            let one_by_one = Moments { samples, ratio }.with_simd(pulp::Scalar);
            for (vector, scalar) in found.iter().zip(one_by_one) {
                assert!((vector - scalar).norm() < ROUNDING * 1e4, "{length}");
            }
        }
    }
}
