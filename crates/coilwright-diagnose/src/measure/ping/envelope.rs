//! Peak-to-peak of successive short blocks: an envelope that neither an offset nor hum moves.

use pulp::{Simd, WithSimd};

/// Length of a block in seconds: two cycles at 125 kHz, short against the ring-down of any ring worth the name.
const BLOCK_S: f64 = 16e-6;
/// Fewest samples in a block, so that a slow recording shows a peak of both signs in each.
const FEWEST_SAMPLES: usize = 8;

/// Samples in one block.
pub(super) fn block_samples(sample_rate_hz: f64) -> usize {
    ((BLOCK_S * sample_rate_hz).round() as usize).max(FEWEST_SAMPLES)
}

/// Largest less smallest sample in one block of each `stride` whole ones.
pub(super) fn peak_to_peak(values: &[f32], block: usize, stride: usize) -> Vec<f32> {
    let mut swings = vec![0.0; values.len() / (stride * block)];
    pulp::Arch::new().dispatch(Swings {
        values,
        block,
        stride,
        found: &mut swings,
    });
    swings
}

struct Swings<'a> {
    values: &'a [f32],
    block: usize,
    stride: usize,
    found: &'a mut [f32],
}

impl WithSimd for Swings<'_> {
    type Output = ();

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let spans = self.values.chunks_exact(self.stride * self.block);
        for (span, swing) in spans.zip(self.found) {
            let (whole, rest) = S::as_simd_f32s(span.get(..self.block).unwrap_or_default());
            let mut low = simd.splat_f32s(f32::INFINITY);
            let mut high = simd.splat_f32s(f32::NEG_INFINITY);
            for &x in whole {
                low = simd.min_f32s(x, low);
                high = simd.max_f32s(x, high);
            }
            let (mut low, mut high) = (simd.reduce_min_f32s(low), simd.reduce_max_f32s(high));
            for &x in rest {
                (low, high) = (low.min(x), high.max(x));
            }
            *swing = high - low;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_offset_does_not_show_and_a_swing_does() {
        let values: Vec<f32> = (0..40)
            .map(|n| 5.0 + if n == 21 { 0.5 } else { 0.0 })
            .collect();
        assert_eq!(peak_to_peak(&values, 19, 1), vec![0.0, 0.5]);
    }
}
