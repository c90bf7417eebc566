use coilwright_signal::{Estimate, Span};
use serde::Serialize;

/// One key that answered.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct KeyFound {
    /// `ask` for load modulation of the carrier, `fsk` and `psk` for subcarriers, `half_duplex` for a reply of its own.
    pub modulation: String,
    /// Carrier cycles in a period of each subcarrier, the faster first; none without a subcarrier.
    pub subcarrier_clocks: Vec<u32>,
    /// Line code, such as `manchester` or `biphase_space`.
    pub line_code: String,
    /// Carrier cycles in one bit.
    pub clocks_per_bit: u32,
    /// Peak deviation of the carrier, relative to its amplitude.
    pub depth: Estimate,
    /// Energy of a bit over noise density, in decibels.
    pub eb_n0_db: f64,
    /// Smallest soft bit over the mean soft bit of the best frame, 0 to 1.
    pub margin: f64,
    /// The frame, where a published one fits and its checks hold.
    pub frame: Option<FrameFound>,
    /// How often the same frame was read.
    pub repeats: u64,
    /// Where the frames lie; at most the first 64.
    pub spans: Vec<Span>,
}

/// A frame as it was sent.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct FrameFound {
    /// Frame type, such as `read_only_64` or `fdx_b`.
    pub kind: String,
    /// The bits as sent, first bit first.
    pub bits: String,
    /// What the frame carries, in the frame type's usual notation.
    pub payload: String,
    /// The frame's checks.
    pub checks: Vec<NamedCheck>,
    /// Bits that the parity or CRC corrected.
    pub corrected_bits: u32,
}

/// One check of a frame.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct NamedCheck {
    /// What was checked.
    pub name: String,
    /// Whether it holds.
    pub holds: bool,
}
