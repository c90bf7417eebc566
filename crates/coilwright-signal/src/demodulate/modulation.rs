use serde::{Serialize, Serializer};

/// How a key modulates the carrier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Modulation {
    /// The load is switched by the line code itself.
    Ask,
    /// The load is switched at one of two subcarriers.
    Fsk {
        /// Carrier periods in a period of each subcarrier, the faster one first. Soft bits are positive for it, until
        /// a frame says otherwise.
        clocks: [u32; 2],
    },
    /// The load is switched at one subcarrier, whose phase turns by half a period.
    Psk {
        /// Carrier periods in a period of the subcarrier.
        clocks: u32,
    },
    /// The key sends two tones of its own after the field went off.
    HalfDuplex,
}

impl Modulation {
    /// Returns the name used in machine-readable output: `ask`, `fsk`, `psk` or `half_duplex`.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Ask => "ask",
            Self::Fsk { .. } => "fsk",
            Self::Psk { .. } => "psk",
            Self::HalfDuplex => "half_duplex",
        }
    }

    /// Returns the carrier periods in a period of each subcarrier, the faster one first; none without a subcarrier.
    #[must_use]
    pub fn subcarrier_clocks(self) -> Vec<u32> {
        match self {
            Self::Fsk { clocks } => clocks.to_vec(),
            Self::Psk { clocks } => vec![clocks],
            Self::Ask | Self::HalfDuplex => Vec::new(),
        }
    }
}

impl Serialize for Modulation {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.identifier())
    }
}
