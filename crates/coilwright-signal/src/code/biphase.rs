//! Biphase code: a transition at every bit boundary, and for one of the two bit values another in mid-bit.
//!
//! It is a differential code: inverting every level changes no bit, so there is no polarity to guess.

use super::trellis::{Machine, Step};

/// Which bit value has the mid-bit transition.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Convention {
    /// 0 has it and 1 holds: FM0 or biphase-space (ISO/IEC 18000-6:2004 clause 6.5.4; EM4223 data sheet p. 18), the
    /// differential biphase of ISO 11785.
    Space,
    /// 1 has it and 0 holds: FM1 or biphase-mark (from memory).
    Mark,
}

/// Returns the half-bit levels, two for each bit, when the line was at `level_before`.
///
/// ```
/// use coilwright_signal::code::biphase::{Convention, encode};
/// assert_eq!(encode(&[1, 0], Convention::Space, 0), [1, 1, 0, 1]);
/// assert_eq!(encode(&[1, 0], Convention::Mark, 0), [1, 0, 1, 1]);
/// ```
#[must_use]
pub fn encode(bits: &[u8], convention: Convention, level_before: u8) -> Vec<u8> {
    let mut level = u8::from(level_before != 0);
    let mut levels = Vec::with_capacity(2 * bits.len());
    for &bit in bits {
        level ^= 1;
        levels.push(level);
        if (bit != 0) == (convention == Convention::Mark) {
            level ^= 1;
        }
        levels.push(level);
    }
    levels
}

/// Returns one soft bit for each pair of soft half-bits; an odd last half-bit is left out.
///
/// The second half of a bit and the first half of the next always differ, so together they are an antipodal symbol;
/// a bit is told by whether the symbols on its two sides agree. That reaches 2 Q (1 − Q) with Q = Q(√(2 Eb/N0)), the
/// bound for a differential code, while comparing the two halves of a bit loses 3 dB. The outer halves of the first
/// and the last bit have no partner and count alone. The size of a soft bit is that of the weaker of its two symbols.
#[must_use]
pub fn decode_soft(half_bits: &[f32], convention: Convention) -> Vec<f32> {
    let (pairs, _) = half_bits.as_chunks::<2>();
    let sign = match convention {
        Convention::Space => -1.0,
        Convention::Mark => 1.0,
    };
    let Some([first, _]) = pairs.first() else {
        return Vec::new();
    };
    let mut before = -0.5 * first;
    let next_first = pairs.iter().skip(1).map(|[first, _]| Some(*first));
    pairs
        .iter()
        .zip(next_first.chain([None]))
        .map(|([_, second], next)| {
            let after = next.map_or(0.5 * second, |next| 0.5 * (second - next));
            let bit = sign * differential(before, after);
            before = after;
            bit
        })
        .collect()
}

/// Returns how surely two antipodal symbols agree: the size of the weaker one, negative where their signs differ.
#[must_use]
pub(crate) fn differential(before: f32, after: f32) -> f32 {
    let weaker = before.abs().min(after.abs());
    if (before < 0.0) == (after < 0.0) {
        weaker
    } else {
        -weaker
    }
}

/// The code as a machine, 0 having the mid-bit transition: the state is the level before.
pub(super) struct Biphase;

impl Machine for Biphase {
    const STATES: usize = 2;

    fn step(state: usize, bit: u8) -> Step {
        let first = state as u8 ^ 1;
        let second = first ^ 1 ^ bit;
        Step {
            levels: [first, second],
            next: usize::from(second),
        }
    }
}
