//! Parity of a group of bits.

/// Returns the bit that makes the number of ones even: the sum of `bits` modulo 2.
///
/// ```
/// use coilwright_signal::code::parity::even;
/// assert_eq!(even(&[1, 0, 1, 1]), 1);
/// assert_eq!(even(&[]), 0);
/// ```
#[must_use]
pub fn even(bits: &[u8]) -> u8 {
    bits.iter().fold(0, |sum, &bit| sum ^ u8::from(bit != 0))
}

/// Returns the bit that makes the number of ones odd.
#[must_use]
pub fn odd(bits: &[u8]) -> u8 {
    1 ^ even(bits)
}
