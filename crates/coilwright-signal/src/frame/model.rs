use serde::{Serialize, Serializer};

use super::{Iso11784, ReadOnly64, Sia26};

/// Which published frame it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FrameKind {
    /// 64 bits, read only, with row and column parity.
    #[serde(rename = "read_only_64")]
    ReadOnly64,
    /// 128 bits, ISO 11784/11785 full duplex.
    FdxB,
    /// 112 bits, ISO 11784/11785 half duplex.
    Hdx,
    /// 26 bits, SIA AC-01.
    #[serde(rename = "sia_26")]
    Sia26,
}

impl FrameKind {
    /// The name used in machine-readable output: `read_only_64`, `fdx_b`, `hdx`, `sia_26`.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::ReadOnly64 => "read_only_64",
            Self::FdxB => "fdx_b",
            Self::Hdx => "hdx",
            Self::Sia26 => "sia_26",
        }
    }
}

/// One check of a frame and how it came out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Check {
    /// What was checked, such as `row parity 3`.
    pub name: String,
    /// Whether it holds.
    pub passed: bool,
}

impl Check {
    pub(crate) fn new(name: impl Into<String>, passed: bool) -> Self {
        Self {
            name: name.into(),
            passed,
        }
    }
}

/// The fields of a frame by name.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(untagged)]
pub enum FrameFields {
    /// Fields of the 64-bit read-only frame.
    ReadOnly64(ReadOnly64),
    /// Fields of the ISO 11784/11785 full-duplex frame.
    FdxB(Iso11784),
    /// Fields of the ISO 11784/11785 half-duplex telegram.
    Hdx(Iso11784),
    /// Fields of the SIA AC-01 word.
    Sia26(Sia26),
}

/// A frame as it was sent, with its meaning and its checks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Frame {
    /// Which frame it is.
    pub kind: FrameKind,
    /// The bits as sent, first bit first; serialised as a string of 0 and 1.
    #[serde(serialize_with = "as_text")]
    pub bits: Vec<u8>,
    /// The payload in hexadecimal, most significant digit first: 10 digits for the read-only
    /// frame, 16 for FDX-B and HDX, 6 for SIA AC-01.
    pub payload: String,
    /// The payload field by field.
    pub fields: FrameFields,
    /// Every check, in the order of the frame.
    pub checks: Vec<Check>,
}

impl Frame {
    /// Returns whether every check holds.
    #[must_use]
    pub fn is_valid(&self) -> bool {
        self.checks.iter().all(|check| check.passed)
    }

    /// Returns the bits as a string of 0 and 1, first bit first.
    #[must_use]
    pub fn bit_text(&self) -> String {
        self.bits
            .iter()
            .map(|&bit| if bit == 0 { '0' } else { '1' })
            .collect()
    }
}

fn as_text<S: Serializer>(bits: &[u8], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(&BitText(bits))
}

struct BitText<'a>(&'a [u8]);

impl std::fmt::Display for BitText<'_> {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        use std::fmt::Write as _;
        self.0
            .iter()
            .try_for_each(|&bit| formatter.write_char(if bit == 0 { '0' } else { '1' }))
    }
}
