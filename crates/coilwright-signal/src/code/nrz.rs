//! NRZ-L: the level through the whole bit is the bit (definition from memory).
//!
//! The code has no transition of its own: a long run of equal bits looks like no modulation at all, and the levels
//! alone cannot tell which is which.

use super::trellis::{Machine, Step};

/// Returns the half-bit levels, two for each bit: 1 is high.
///
/// ```
/// assert_eq!(coilwright_signal::code::nrz::encode(&[1, 0]), [1, 1, 0, 0]);
/// ```
#[must_use]
pub fn encode(bits: &[u8]) -> Vec<u8> {
    bits.iter()
        .flat_map(|&bit| [u8::from(bit != 0); 2])
        .collect()
}

/// Returns one soft bit for each pair of soft half-bits, their mean; an odd last half-bit is left out.
///
/// This is the matched filter, so the bit error rate in white noise is that of antipodal signalling,
/// Q(√(2 Eb/N0)).
#[must_use]
pub fn decode_soft(half_bits: &[f32]) -> Vec<f32> {
    half_bits
        .as_chunks::<2>()
        .0
        .iter()
        .map(|[first, second]| 0.5 * (first + second))
        .collect()
}

/// The code as a machine: one state.
pub(super) struct Nrz;

impl Machine for Nrz {
    const STATES: usize = 1;

    fn step(_: usize, bit: u8) -> Step {
        Step {
            levels: [bit; 2],
            next: 0,
        }
    }
}
