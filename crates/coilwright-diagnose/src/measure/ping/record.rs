//! One ping cut out of a capture, ready to be fitted.

use coilwright_signal::Span;

/// Half-lives of a ping that its record holds: ten are seven time constants.
const HALF_LIVES: usize = 10;
/// Blocks of quiet after that, from which the offset is seen.
const QUIET_BLOCKS: usize = 8;

/// A ping's samples from its peak on.
#[derive(Clone, Debug)]
pub(super) struct Ping {
    /// Where it lies in the capture, from its start to the end of what is fitted.
    pub span: Span,
    /// Position in the capture of the first of `samples`.
    pub first_sample: u64,
    /// The samples from the largest one on.
    pub samples: Vec<f32>,
    /// Peak-to-peak of its loudest block.
    pub peak: f32,
}

/// Blocks that a record reaches beyond the peak.
pub(super) const fn reach(half_life: usize) -> usize {
    HALF_LIVES * half_life + QUIET_BLOCKS
}

/// Position of the sample that lies farthest from the level before the ping, from `start` to `end`.
pub(super) fn farthest(values: &[f32], start: usize, end: usize) -> usize {
    let quiet = &values[start.saturating_sub(end - start)..start];
    let level = if quiet.is_empty() {
        0.0
    } else {
        quiet.iter().sum::<f32>() / quiet.len() as f32
    };
    (start..end)
        .max_by(|&a, &b| {
            (values[a] - level)
                .abs()
                .total_cmp(&(values[b] - level).abs())
        })
        .unwrap_or(start)
}
