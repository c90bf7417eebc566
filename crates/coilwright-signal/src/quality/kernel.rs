//! Loops over every value, in vector operations: left to itself the compiler shuffles the lanes.

use pulp::{Simd, WithSimd};

/// Values that one [`UnitSums`] covers.
pub(super) const UNIT: usize = 64;

/// Sums over [`UNIT`] values.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct UnitSums {
    pub(super) sum: f32,
    pub(super) square_sum: f32,
}

/// Extremes of all whole units, and the sums of each.
pub(super) struct Sweep<'a> {
    pub(super) values: &'a [f32],
    pub(super) units: &'a mut [UnitSums],
}

impl WithSimd for Sweep<'_> {
    /// Lowest and highest value.
    type Output = (f32, f32);

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> (f32, f32) {
        let mut low = simd.splat_f32s(f32::INFINITY);
        let mut high = simd.splat_f32s(f32::NEG_INFINITY);
        for (values, unit) in self.values.as_chunks::<UNIT>().0.iter().zip(self.units) {
            let mut sum = simd.splat_f32s(0.0);
            let mut square_sum = simd.splat_f32s(0.0);
            for x in S::as_simd_f32s(values).0 {
                low = simd.min_f32s(*x, low);
                high = simd.max_f32s(*x, high);
                sum = simd.add_f32s(sum, *x);
                square_sum = simd.mul_add_e_f32s(*x, *x, square_sum);
            }
            *unit = UnitSums {
                sum: simd.reduce_sum_f32s(sum),
                square_sum: simd.reduce_sum_f32s(square_sum),
            };
        }
        (simd.reduce_min_f32s(low), simd.reduce_max_f32s(high))
    }
}

/// Counts values at both ends of the range.
pub(super) struct CountEnds<'a> {
    pub(super) values: &'a [f32],
    /// A higher and a lower threshold at the upper end.
    pub(super) upper: [f32; 2],
    /// A lower and a higher threshold at the lower end.
    pub(super) lower: [f32; 2],
}

impl WithSimd for CountEnds<'_> {
    /// Values at or above each upper, and at or below each lower threshold.
    type Output = ([u32; 2], [u32; 2]);

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> ([u32; 2], [u32; 2]) {
        let (one, zero) = (simd.splat_f32s(1.0), simd.splat_f32s(0.0));
        let (one, nothing) = (
            simd.transmute_u32s_f32s(one),
            simd.transmute_u32s_f32s(zero),
        );
        let count = |mask| simd.transmute_f32s_u32s(simd.select_u32s(mask, one, nothing));
        let [high, less_high] = self.upper.map(|threshold| simd.splat_f32s(threshold));
        let [low, less_low] = self.lower.map(|threshold| simd.splat_f32s(threshold));
        let (mut a, mut b, mut c, mut d) = (zero, zero, zero, zero);
        let (whole, rest) = S::as_simd_f32s(self.values);
        for x in whole {
            a = simd.add_f32s(a, count(simd.greater_than_or_equal_f32s(*x, high)));
            b = simd.add_f32s(b, count(simd.greater_than_or_equal_f32s(*x, less_high)));
            c = simd.add_f32s(c, count(simd.less_than_or_equal_f32s(*x, low)));
            d = simd.add_f32s(d, count(simd.less_than_or_equal_f32s(*x, less_low)));
        }
        let total = |lanes: S::f32s| simd.reduce_sum_f32s(lanes) as u32;
        let mut counts = ([total(a), total(b)], [total(c), total(d)]);
        for x in rest {
            for index in 0..2 {
                counts.0[index] += u32::from(*x >= self.upper[index]);
                counts.1[index] += u32::from(*x <= self.lower[index]);
            }
        }
        counts
    }
}

/// Whether any four samples in a row are alike.
pub(super) struct HasFourAlike<'a> {
    pub(super) values: &'a [f32],
    /// Values from one sample to the next.
    pub(super) width: usize,
}

impl WithSimd for HasFourAlike<'_> {
    type Output = bool;

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[expect(clippy::float_cmp, reason = "samples that are held are the very same")]
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> bool {
        let count = self.values.len().saturating_sub(3 * self.width);
        let at = |step: usize| {
            let from = step * self.width;
            S::as_simd_f32s(self.values.get(from..from + count).unwrap_or_default())
        };
        let ((a, ra), (b, rb), (c, rc), (d, rd)) = (at(0), at(1), at(2), at(3));
        let mut found = simd.equal_f32s(simd.splat_f32s(0.0), simd.splat_f32s(1.0));
        for (((a, b), c), d) in a.iter().zip(b).zip(c).zip(d) {
            let outer = simd.and_m32s(simd.equal_f32s(*a, *b), simd.equal_f32s(*c, *d));
            found = simd.or_m32s(found, simd.and_m32s(outer, simd.equal_f32s(*b, *c)));
        }
        let mut rest = ra.iter().zip(rb).zip(rc.iter().zip(rd));
        simd.first_true_m32s(found) < S::F32_LANES
            || rest.any(|((a, b), (c, d))| [b, c, d].iter().all(|other| *other == a))
    }
}
