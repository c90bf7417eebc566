//! Differential biphase with the transition of every bit in its middle: a 0 has another at its start, a 1 has none.
//!
//! This is the differential Manchester code of IEEE 802.5 (from memory). The differential biphase of ISO 11785 is
//! another: it is [`Space`](super::biphase::Convention::Space), with the transition of every bit at its start. Moved by
//! half a bit the two are the same waveform and give the same bits, so a receiver that does not know where a bit
//! begins cannot and need not tell them apart.

use super::trellis::{self, Machine, Step};

/// Returns the half-bit levels, two for each bit, when the line was at `level_before`.
///
/// ```
/// use coilwright_signal::code::differential_biphase::encode;
/// assert_eq!(encode(&[1, 0], 0), [0, 1, 0, 1]);
/// ```
#[must_use]
pub fn encode(bits: &[u8], level_before: u8) -> Vec<u8> {
    trellis::encode::<DifferentialBiphase>(bits, usize::from(level_before != 0))
}

/// Returns one soft bit for each pair of soft half-bits; an odd last half-bit is left out.
///
/// Nothing is known of the level before the first bit, so that bit is as good as unknown: its soft value is 0.
#[must_use]
pub fn decode_soft(half_bits: &[f32]) -> Vec<f32> {
    trellis::decode_soft::<DifferentialBiphase>(half_bits)
}

/// The code as a machine: the state is the level before.
pub(super) struct DifferentialBiphase;

impl Machine for DifferentialBiphase {
    const STATES: usize = 2;

    fn step(state: usize, bit: u8) -> Step {
        let first = state as u8 ^ 1 ^ bit;
        Step {
            levels: [first, first ^ 1],
            next: usize::from(first ^ 1),
        }
    }
}
