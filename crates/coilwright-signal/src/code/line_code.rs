use serde::Serialize;

use super::trellis::Expected;
use super::{biphase, manchester, miller, nrz, trellis};

/// A line code as far as a waveform can tell it.
///
/// Inverting every level exchanges the two Manchester conventions. Biphase-mark and biphase-space are the same
/// waveform with 0 and 1 exchanged, and the differential biphase of IEEE 802.5 is biphase-space moved by half a bit.
/// Which it is, only the content can say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LineCode {
    /// Direction of the mid-bit transition.
    Manchester,
    /// Transition at every boundary; a second one in mid-bit for one of the values.
    Biphase,
    /// The level is the bit.
    Nrz,
    /// Transition in mid-bit for 1, between two zeros otherwise.
    Miller,
}

impl LineCode {
    /// Every line code.
    pub const ALL: [Self; 4] = [Self::Manchester, Self::Biphase, Self::Nrz, Self::Miller];

    /// The name used in machine-readable output: `manchester`, `biphase`, `nrz`, `miller`.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Manchester => "manchester",
            Self::Biphase => "biphase",
            Self::Nrz => "nrz",
            Self::Miller => "miller",
        }
    }

    /// Whether the code is told by levels that last, so that its spectrum reaches down to 0 Hz.
    pub(crate) const fn is_of_levels(self) -> bool {
        matches!(self, Self::Nrz | Self::Miller)
    }

    /// Returns one soft bit for each pair of soft half-bits, in the usual convention: Manchester 1 is high then low,
    /// biphase 1 holds its level, NRZ 1 is high. An odd last half-bit is left out.
    ///
    /// ```
    /// use coilwright_signal::code::LineCode;
    /// assert_eq!(LineCode::Manchester.soft_bits(&[1.0, -1.0, -1.0, 1.0]), [1.0, -1.0]);
    /// ```
    #[must_use]
    pub fn soft_bits(self, half_bits: &[f32]) -> Vec<f32> {
        match self {
            Self::Manchester => manchester::decode_soft(half_bits, manchester::Convention::Thomas),
            Self::Biphase => biphase::decode_soft(half_bits, biphase::Convention::Space),
            Self::Nrz => nrz::decode_soft(half_bits),
            Self::Miller => miller::decode_soft(half_bits),
        }
    }

    /// Returns the natural logarithm of how much better the code explains half-bits than half-bits at random do, given
    /// the log-likelihood ratios of the half-bits (positive for high), the first half of a bit first.
    ///
    /// It is ln 2 a bit for half-bits that are certain and follow the code, and strongly negative where they break it.
    #[must_use]
    pub fn evidence(self, half_bit_ratios: &[f32]) -> f64 {
        match self {
            Self::Manchester => trellis::evidence::<manchester::Manchester>(half_bit_ratios),
            Self::Biphase => trellis::evidence::<biphase::Biphase>(half_bit_ratios),
            Self::Nrz => trellis::evidence::<nrz::Nrz>(half_bit_ratios),
            Self::Miller => trellis::evidence::<miller::Miller>(half_bit_ratios),
        }
    }

    /// What the code makes of half-bits with these log-likelihood ratios: its evidence, and the mean level of each half-bit.
    pub(crate) fn expected(self, half_bit_ratios: &[f32]) -> Expected {
        match self {
            Self::Manchester => trellis::expected::<manchester::Manchester>(half_bit_ratios),
            Self::Biphase => trellis::expected::<biphase::Biphase>(half_bit_ratios),
            Self::Nrz => trellis::expected::<nrz::Nrz>(half_bit_ratios),
            Self::Miller => trellis::expected::<miller::Miller>(half_bit_ratios),
        }
    }
}
