use super::grid::{Means, half_bit};
use crate::demodulate::{Baseband, KeyRead, Modulation};

/// Whether the carrier stands above its mean along the modulation axis in each half of a bit: two values a bit.
///
/// `None` for a key whose subcarrier hides the levels of its line code, and where the baseband does not hold every bit
/// of the read. The sign is that of the axis: it is the line code's up to inversion.
#[must_use]
pub fn half_bit_signs(baseband: &Baseband, read: &KeyRead) -> Option<Vec<bool>> {
    if read.modulation != Modulation::Ask {
        return None;
    }
    let means = Means::of_baseband(baseband);
    (0..2 * read.bits.len())
        .map(|index| {
            let from = half_bit(&read.bit_times, index);
            let to = half_bit(&read.bit_times, index + 1);
            means.over(from, to).map(|mean| mean > 0.0)
        })
        .collect()
}
