//! Manchester code: every bit has a transition in its middle, and the direction of that transition is the bit.
//!
//! The level that a receiver sees may be inverted against the modulator, so a decoder tries both conventions.

use super::trellis::{Machine, Step};

/// Which direction of the mid-bit transition is a 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Convention {
    /// 1 is low, then high: IEEE 802.3 (read in an article that quotes the standard).
    Ieee8023,
    /// 1 is high, then low: attributed to G. E. Thomas (from memory).
    Thomas,
}

/// Returns the half-bit levels, two for each bit.
///
/// ```
/// use coilwright_signal::code::manchester::{Convention, encode};
/// assert_eq!(encode(&[1, 0], Convention::Ieee8023), [0, 1, 1, 0]);
/// assert_eq!(encode(&[1, 0], Convention::Thomas), [1, 0, 0, 1]);
/// ```
#[must_use]
pub fn encode(bits: &[u8], convention: Convention) -> Vec<u8> {
    bits.iter()
        .flat_map(|&bit| {
            let second = u8::from((bit != 0) == (convention == Convention::Ieee8023));
            [1 - second, second]
        })
        .collect()
}

/// Returns one soft bit for each pair of soft half-bits, by half their difference; an odd last half-bit is left out.
///
/// This is the matched filter for the code, so the bit error rate in white noise is that of antipodal signalling,
/// Q(√(2 Eb/N0)).
#[must_use]
pub fn decode_soft(half_bits: &[f32], convention: Convention) -> Vec<f32> {
    let sign = match convention {
        Convention::Ieee8023 => 0.5,
        Convention::Thomas => -0.5,
    };
    half_bits
        .as_chunks::<2>()
        .0
        .iter()
        .map(|[first, second]| sign * (second - first))
        .collect()
}

/// The code as a machine, 1 being high then low: one state.
pub(super) struct Manchester;

impl Machine for Manchester {
    const STATES: usize = 1;

    fn step(_: usize, bit: u8) -> Step {
        Step {
            levels: [bit, 1 - bit],
            next: 0,
        }
    }
}
