use coilwright_signal::code::{biphase, differential_biphase, manchester, miller};
use serde::{Deserialize, Serialize};

/// How bits become levels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineCode {
    /// NRZ: the level is the bit.
    Nrz,
    /// Manchester: a transition in the middle of every bit, upwards for 1.
    Manchester,
    /// Biphase: a transition between bits, and one within every 0.
    Biphase,
    /// Biphase with the inner transition in every 1.
    BiphaseMark,
    /// A transition in the middle of every bit, and one before every 0.
    DifferentialBiphase,
    /// A transition within every 1 and between two 0.
    Miller,
}

impl LineCode {
    /// Every line code.
    pub const ALL: [Self; 6] = [
        Self::Nrz,
        Self::Manchester,
        Self::Biphase,
        Self::BiphaseMark,
        Self::DifferentialBiphase,
        Self::Miller,
    ];

    /// Returns the identifier, such as `biphase_mark`.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Nrz => "nrz",
            Self::Manchester => "manchester",
            Self::Biphase => "biphase",
            Self::BiphaseMark => "biphase_mark",
            Self::DifferentialBiphase => "differential_biphase",
            Self::Miller => "miller",
        }
    }

    /// Returns how many levels a bit has.
    #[must_use]
    pub const fn levels_per_bit(self) -> u32 {
        match self {
            Self::Nrz => 1,
            _ => 2,
        }
    }

    /// Returns the levels of bits after level 0, and after a bit 0 where the code remembers it.
    #[must_use]
    pub fn levels(self, bits: &[u8]) -> Vec<u8> {
        match self {
            Self::Nrz => bits.to_vec(),
            Self::Manchester => manchester::encode(bits, manchester::Convention::Ieee8023),
            Self::Biphase => biphase::encode(bits, biphase::Convention::Space, 0),
            Self::BiphaseMark => biphase::encode(bits, biphase::Convention::Mark, 0),
            Self::DifferentialBiphase => differential_biphase::encode(bits, 0),
            Self::Miller => miller::encode(bits, miller::Before { level: 0, bit: 0 }),
        }
    }
}
