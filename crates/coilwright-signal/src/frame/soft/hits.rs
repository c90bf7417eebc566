use super::SoftValues;
use crate::frame::layout::{Form, Layout};

/// Frames of one payload and polarity that were read without correction.
pub(super) struct Hits {
    pub bits: Vec<u8>,
    pub inverted: bool,
    /// First bit of each, in order.
    pub starts: Vec<usize>,
}

/// For each polarity, the places of the frame that occurs most often in the hard bits, none overlapping the one before.
pub(super) fn hits(values: &SoftValues<'_>, layout: &Layout) -> Vec<Hits> {
    let mut bits = values.bits();
    [false, true]
        .into_iter()
        .filter_map(|inverted| {
            if inverted {
                for bit in &mut bits {
                    *bit ^= 1;
                }
            }
            most_frequent(
                &bits,
                &starts(&bits, layout.length_bits, &layout.forms),
                layout,
            )
            .map(|(bits, starts)| Hits {
                bits,
                inverted,
                starts,
            })
        })
        .collect()
}

fn starts(bits: &[u8], length: usize, forms: &[Form]) -> Vec<usize> {
    let mut starts = Vec::new();
    let mut next = 0;
    for (start, window) in bits.windows(length).enumerate() {
        if start >= next && forms.iter().any(|form| form.is_valid(window)) {
            starts.push(start);
            next = start + length;
        }
    }
    starts
}

fn most_frequent(bits: &[u8], starts: &[usize], layout: &Layout) -> Option<(Vec<u8>, Vec<usize>)> {
    let frame = |start: usize| &bits[start..start + layout.length_bits];
    let count = |start: usize| {
        starts
            .iter()
            .filter(|&&other| frame(other) == frame(start))
            .count()
    };
    let best = starts.iter().copied().max_by_key(|&start| count(start))?;
    let same = starts
        .iter()
        .copied()
        .filter(|&start| frame(start) == frame(best));
    Some((frame(best).to_vec(), same.collect()))
}
