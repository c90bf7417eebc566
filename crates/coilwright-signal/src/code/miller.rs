//! Miller code, or delay modulation: a 1 has a transition in mid-bit, a 0 after a 0 one at its start, and a 0 after a
//! 1 none (definition from memory).
//!
//! Transitions are 1, 1.5 or 2 bits apart. Like biphase it is told by transitions: inverting every level changes no bit.

use super::trellis::{self, Machine, Step};

/// What came before the first bit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Before {
    /// The level of the line, 0 or 1.
    pub level: u8,
    /// The bit, 0 or 1.
    pub bit: u8,
}

/// Returns the half-bit levels, two for each bit, after what came before.
///
/// ```
/// use coilwright_signal::code::miller::{Before, encode};
/// assert_eq!(encode(&[1, 0, 0], Before { level: 0, bit: 0 }), [0, 1, 1, 1, 0, 0]);
/// ```
#[must_use]
pub fn encode(bits: &[u8], before: Before) -> Vec<u8> {
    let state = usize::from(before.level != 0) | usize::from(before.bit != 0) << 1;
    trellis::encode::<Miller>(bits, state)
}

/// Returns one soft bit for each pair of soft half-bits; an odd last half-bit is left out.
///
/// The most likely sequence with each value of the bit is compared with the other (max-log decoding over four
/// states), because a bit shows itself in the level of its neighbours too. What came before may be anything.
#[must_use]
pub fn decode_soft(half_bits: &[f32]) -> Vec<f32> {
    trellis::decode_soft::<Miller>(half_bits)
}

/// The code as a machine: the state is the level and the bit before.
pub(super) struct Miller;

impl Machine for Miller {
    const STATES: usize = 4;

    fn step(state: usize, bit: u8) -> Step {
        let (level, before) = ((state & 1) as u8, (state >> 1) as u8);
        let first = level ^ u8::from(bit == 0 && before == 0);
        let second = first ^ bit;
        Step {
            levels: [first, second],
            next: usize::from(second) | usize::from(bit) << 1,
        }
    }
}
