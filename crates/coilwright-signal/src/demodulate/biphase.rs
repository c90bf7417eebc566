//! Symbols to bits where the symbol straddles a bit boundary.

use crate::code::biphase::differential;

/// Soft bits, one fewer than symbols: positive for 1, which holds its level. Bit k lies between the transitions in
/// the middle of symbols k and k + 1, so it begins half a bit after symbol k.
pub(super) fn soft_bits(symbols: &[f32]) -> Vec<f32> {
    symbols
        .windows(2)
        .map(|pair| -differential(pair[0], pair[1]))
        .collect()
}

/// The same for a cycle of symbols that closes on itself, inverted if `closing_sign` is −1: as many bits as symbols.
pub(super) fn cyclic_soft_bits(symbols: &[f32], closing_sign: f32) -> Vec<f32> {
    let closing = symbols.first().map(|first| closing_sign * first);
    symbols
        .iter()
        .zip(symbols.iter().skip(1).copied().chain(closing))
        .map(|(&before, after)| -differential(before, after))
        .collect()
}
