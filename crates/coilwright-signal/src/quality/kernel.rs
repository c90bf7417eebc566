//! Loops over every value, written so that they vectorise.

/// Values that one [`UnitSums`] covers.
pub(super) const UNIT: usize = 64;
const LANES: usize = 8;

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

impl pulp::WithSimd for Sweep<'_> {
    /// Lowest and highest value.
    type Output = (f32, f32);

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) -> (f32, f32) {
        let (mut low, mut high) = ([f32::INFINITY; LANES], [f32::NEG_INFINITY; LANES]);
        for (values, unit) in self.values.as_chunks::<UNIT>().0.iter().zip(self.units) {
            let (mut sum, mut square_sum) = ([0.0_f32; LANES], [0.0_f32; LANES]);
            for x in values.as_chunks::<LANES>().0 {
                for lane in 0..LANES {
                    low[lane] = if x[lane] < low[lane] {
                        x[lane]
                    } else {
                        low[lane]
                    };
                }
                for lane in 0..LANES {
                    high[lane] = if x[lane] > high[lane] {
                        x[lane]
                    } else {
                        high[lane]
                    };
                }
                for lane in 0..LANES {
                    sum[lane] += x[lane];
                }
                for lane in 0..LANES {
                    square_sum[lane] += x[lane] * x[lane];
                }
            }
            *unit = UnitSums {
                sum: lane_sum(sum),
                square_sum: lane_sum(square_sum),
            };
        }
        let low = low.into_iter().fold(f32::INFINITY, f32::min);
        (low, high.into_iter().fold(f32::NEG_INFINITY, f32::max))
    }
}

/// Counts values, times `sign`, at or above two thresholds.
pub(super) struct CountAbove<'a> {
    pub(super) values: &'a [f32],
    pub(super) sign: f32,
    pub(super) upper: f32,
    pub(super) lower: f32,
}

impl pulp::WithSimd for CountAbove<'_> {
    /// Counts at or above the upper and at or above the lower threshold.
    type Output = (u32, u32);

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) -> (u32, u32) {
        let (mut upper, mut lower) = ([0_u32; LANES], [0_u32; LANES]);
        let (whole, rest) = self.values.as_chunks::<LANES>();
        for x in whole {
            for lane in 0..LANES {
                upper[lane] += u32::from(self.sign * x[lane] >= self.upper);
            }
            for lane in 0..LANES {
                lower[lane] += u32::from(self.sign * x[lane] >= self.lower);
            }
        }
        for x in rest {
            upper[0] += u32::from(self.sign * x >= self.upper);
            lower[0] += u32::from(self.sign * x >= self.lower);
        }
        (upper.iter().sum(), lower.iter().sum())
    }
}

/// Counts positions from which four samples in a row are alike.
pub(super) struct CountAlike<'a> {
    pub(super) values: &'a [f32],
    /// Values from one sample to the next.
    pub(super) width: usize,
}

impl pulp::WithSimd for CountAlike<'_> {
    type Output = u32;

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) -> u32 {
        let count = self.values.len().saturating_sub(3 * self.width);
        let at = |step: usize| {
            self.values
                .get(step * self.width..step * self.width + count)
                .unwrap_or_default()
        };
        let (a, b, c, d) = (at(0), at(1), at(2), at(3));
        let (a, b) = (a.as_chunks::<LANES>(), b.as_chunks::<LANES>());
        let (c, d) = (c.as_chunks::<LANES>(), d.as_chunks::<LANES>());
        let differ = |x: f32, y: f32| x.to_bits() ^ y.to_bits();
        let mut alike = [0_u32; LANES];
        for (((a, b), c), d) in a.0.iter().zip(b.0).zip(c.0).zip(d.0) {
            for lane in 0..LANES {
                let difference =
                    differ(a[lane], b[lane]) | differ(b[lane], c[lane]) | differ(c[lane], d[lane]);
                alike[lane] += u32::from(difference == 0);
            }
        }
        for (((a, b), c), d) in a.1.iter().zip(b.1).zip(c.1).zip(d.1) {
            alike[0] += u32::from(differ(*a, *b) | differ(*b, *c) | differ(*c, *d) == 0);
        }
        alike.iter().sum()
    }
}

#[expect(
    clippy::inline_always,
    reason = "the body must take on the vector features of the dispatch"
)]
#[inline(always)]
fn lane_sum(lanes: [f32; LANES]) -> f32 {
    let [a, b, c, d, e, f, g, h] = lanes;
    ((a + e) + (c + g)) + ((b + f) + (d + h))
}
