//! Symbols to bits where the symbol itself is the bit.

/// Soft bits in the order of the symbols: positive for 1, high then low.
pub(super) fn soft_bits(symbols: &[f32]) -> Vec<f32> {
    symbols.to_vec()
}
