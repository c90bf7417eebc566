use crate::code::biphase::differential;

/// How values spell bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Coding {
    /// A value is a bit.
    Direct,
    /// A bit is 1 where two neighbouring values differ: bit k lies between values k and k + 1. Biphase is coded so, the
    /// values being the transitions between bits; so is a phase that changes on every 1.
    Differential,
}

impl Coding {
    /// Returns one soft bit for each value, or for each two neighbours: positive for 1, the size that of the weaker.
    #[must_use]
    pub fn soft_bits(self, values: &[f32]) -> Vec<f32> {
        match self {
            Self::Direct => values.to_vec(),
            Self::Differential => values
                .windows(2)
                .map(|pair| -differential(pair[0], pair[1]))
                .collect(),
        }
    }
}

/// Soft values in the order in which they were sent.
#[derive(Clone, Copy, Debug)]
pub struct SoftValues<'a> {
    /// Log-likelihood ratios: positive for 1.
    pub ratios: &'a [f32],
    /// How they spell bits.
    pub coding: Coding,
}

impl SoftValues<'_> {
    /// Returns the most likely bits: one for each value, or one fewer with differential coding.
    ///
    /// ```
    /// use coilwright_signal::frame::soft::{Coding, SoftValues};
    /// let values = SoftValues { ratios: &[2.0, -1.0, -3.0], coding: Coding::Differential };
    /// assert_eq!(values.bits(), [1, 0]);
    /// ```
    #[must_use]
    pub fn bits(&self) -> Vec<u8> {
        let hard = |ratio: &f32| u8::from(*ratio > 0.0);
        match self.coding {
            Coding::Direct => self.ratios.iter().map(hard).collect(),
            Coding::Differential => self
                .ratios
                .windows(2)
                .map(|pair| hard(&pair[0]) ^ hard(&pair[1]))
                .collect(),
        }
    }
}
