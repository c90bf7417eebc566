//! Peak-to-peak of successive short blocks: an envelope that neither an offset nor hum moves.

/// Length of a block in seconds: two cycles at 125 kHz, short against the ring-down of any ring worth the name.
const BLOCK_S: f64 = 16e-6;
/// Fewest samples in a block, so that a slow recording shows a peak of both signs in each.
const FEWEST_SAMPLES: usize = 8;

/// Samples in one block.
pub(super) fn block_samples(sample_rate_hz: f64) -> usize {
    ((BLOCK_S * sample_rate_hz).round() as usize).max(FEWEST_SAMPLES)
}

/// Largest less smallest sample of each whole block.
pub(super) fn peak_to_peak(values: &[f32], block: usize) -> Vec<f32> {
    let arch = pulp::Arch::new();
    arch.dispatch(|| values.chunks_exact(block).map(swing).collect())
}

/// Largest less smallest of a few samples; eight lanes, so that it becomes vector code.
#[inline]
fn swing(values: &[f32]) -> f32 {
    let mut low = [f32::INFINITY; 8];
    let mut high = [f32::NEG_INFINITY; 8];
    let (lanes, rest) = values.as_chunks::<8>();
    for eight in lanes {
        for lane in 0..8 {
            low[lane] = if eight[lane] < low[lane] {
                eight[lane]
            } else {
                low[lane]
            };
            high[lane] = if eight[lane] > high[lane] {
                eight[lane]
            } else {
                high[lane]
            };
        }
    }
    for (lane, &value) in rest.iter().enumerate() {
        low[lane] = low[lane].min(value);
        high[lane] = high[lane].max(value);
    }
    high.iter().copied().fold(f32::NEG_INFINITY, f32::max)
        - low.iter().copied().fold(f32::INFINITY, f32::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_offset_does_not_show_and_a_swing_does() {
        let values: Vec<f32> = (0..40)
            .map(|n| 5.0 + if n == 21 { 0.5 } else { 0.0 })
            .collect();
        assert_eq!(peak_to_peak(&values, 19), vec![0.0, 0.5]);
    }
}
