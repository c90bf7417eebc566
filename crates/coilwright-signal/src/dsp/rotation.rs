use num_complex::{Complex32, Complex64};
use pulp::{Simd, WithSimd};

/// Values that are turned side by side: one after the other, each would wait for the one before.
const LANES: usize = 8;

/// Multiplies value k by `start` · `step`^k and returns `start` · `step`^n for n values, both of magnitude 1.
pub(crate) fn rotate(values: &mut [Complex32], start: Complex64, step: Complex64) -> Complex64 {
    pulp::Arch::new().dispatch(Rotate {
        values,
        start,
        step,
    })
}

struct Rotate<'a> {
    values: &'a mut [Complex32],
    start: Complex64,
    step: Complex64,
}

impl WithSimd for Rotate<'_> {
    type Output = Complex64;

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) -> Complex64 {
        let mut powers = [Complex64::new(1.0, 0.0); LANES];
        for k in 1..LANES {
            powers[k] = powers[k - 1] * self.step;
        }
        let stride = powers[LANES - 1] * self.step;
        let (re, im) = (powers.map(|power| power.re), powers.map(|power| power.im));
        let mut turn = self.start;
        let (groups, rest) = self.values.as_chunks_mut::<LANES>();
        for group in groups {
            for k in 0..LANES {
                let turn_re = (turn.re * re[k] - turn.im * im[k]) as f32;
                let turn_im = (turn.re * im[k] + turn.im * re[k]) as f32;
                let Complex32 { re: x, im: y } = group[k];
                group[k] = Complex32::new(x * turn_re - y * turn_im, x * turn_im + y * turn_re);
            }
            turn *= stride;
        }
        for (value, power) in rest.iter_mut().zip(&powers) {
            *value *= narrow(turn * power);
        }
        turn *= powers[rest.len()];
        turn / turn.norm()
    }
}

/// Returns Σ values, in double precision.
pub(crate) fn sum(values: &[Complex32]) -> Complex64 {
    let mut sums = [Complex64::default(); LANES];
    let (groups, rest) = values.as_chunks::<LANES>();
    for group in groups {
        for (sum, value) in sums.iter_mut().zip(group) {
            *sum += widen(*value);
        }
    }
    sums.iter().sum::<Complex64>() + rest.iter().map(|&value| widen(value)).sum::<Complex64>()
}

fn narrow(z: Complex64) -> Complex32 {
    Complex32::new(z.re as f32, z.im as f32)
}

fn widen(z: Complex32) -> Complex64 {
    Complex64::new(z.re.into(), z.im.into())
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;

    /// The turn is rounded to single precision once, and its product once more.
    const ROUNDING: f32 = 4.0 * f32::EPSILON;

    #[test]
    fn each_value_turns_by_the_steps_before_it() {
        for count in [0, 1, 7, 8, 9, 1003] {
            let mut values = vec![Complex32::new(0.6, -0.8); count];
            let end = rotate(&mut values, Complex64::cis(0.3), Complex64::cis(0.123_4));
            for (k, value) in values.iter().enumerate() {
                let expected =
                    narrow(Complex64::new(0.6, -0.8) * Complex64::cis(0.3 + 0.123_4 * k as f64));
                assert!((value - expected).norm() < ROUNDING, "{count} {k}");
            }
            assert!((end - Complex64::cis((0.3 + 0.123_4 * count as f64) % TAU)).norm() < 1e-12);
        }
    }

    #[test]
    fn the_sum_is_that_of_a_plain_loop() {
        let values: Vec<Complex32> = (0..1003).map(|n| Complex32::new(n as f32, 1.0)).collect();
        let expected = Complex64::new(1002.0 * 1003.0 / 2.0, 1003.0);
        assert!((sum(&values) - expected).norm() < 1e-9);
    }
}
