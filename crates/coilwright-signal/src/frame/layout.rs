use std::sync::LazyLock;

use super::{Frame, FrameKind, fdx_b, hdx, read_only_64, sia_26};

/// What is to be known of a frame to find it in bits: one entry for each kind.
pub(crate) struct Layout {
    /// Its length.
    pub length_bits: usize,
    /// How often it is sent.
    pub sending: Sending,
    /// The frame that bits spell, with every check; `None` unless they are `length_bits` long.
    pub check: fn(&[u8]) -> Option<Frame>,
    /// What is common to all valid frames, in one or more forms.
    pub forms: LazyLock<Vec<Form>>,
}

/// How often a frame is sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sending {
    /// Over and over, without a pause, while there is field.
    Endless,
    /// Once.
    Once,
}

/// A set of valid frames that linear checks describe.
#[derive(Clone, Debug)]
pub(crate) struct Form {
    /// The bits that are the same in every frame.
    pub known: Vec<Option<u8>>,
    /// For each bit, the checks that it enters, as a bit set.
    pub syndromes: Vec<u32>,
    /// The checks over the bits that are 1 of a valid frame: 0 for even parity, 1 for odd.
    pub target: u32,
}

impl Form {
    /// Whether bits spell a valid frame of this form.
    pub(crate) fn is_valid(&self, bits: &[u8]) -> bool {
        bits.len() == self.known.len()
            && bits
                .iter()
                .zip(&self.known)
                .all(|(bit, known)| known.is_none_or(|known| known == *bit))
            && self.checks(bits) == self.target
    }

    /// Binary logarithm of one over the share of random words that are valid.
    pub(crate) fn redundancy_bits(&self) -> usize {
        let unknown = self.known.iter().zip(&self.syndromes);
        let unknown = unknown.filter(|(known, _)| known.is_none());
        let known = self.known.iter().flatten().count();
        known + rank(unknown.map(|(_, &syndrome)| syndrome))
    }

    fn checks(&self, bits: &[u8]) -> u32 {
        bits.iter()
            .zip(&self.syndromes)
            .filter(|(bit, _)| **bit == 1)
            .fold(0, |sum, (_, syndrome)| sum ^ syndrome)
    }
}

/// How many of the columns are independent, modulo 2.
pub(crate) fn rank(columns: impl Iterator<Item = u32>) -> usize {
    let mut basis: Vec<u32> = Vec::new();
    for column in columns {
        let rest = basis.iter().fold(column, |rest, &row| rest.min(rest ^ row));
        if rest != 0 {
            basis.push(rest);
            basis.sort_unstable_by(|a, b| b.cmp(a));
        }
    }
    basis.len()
}

impl FrameKind {
    /// Every kind of frame.
    pub const ALL: [Self; 4] = [Self::ReadOnly64, Self::FdxB, Self::Hdx, Self::Sia26];

    pub(crate) const fn layout(self) -> &'static Layout {
        match self {
            Self::ReadOnly64 => &read_only_64::LAYOUT,
            Self::FdxB => &fdx_b::LAYOUT,
            Self::Hdx => &hdx::LAYOUT,
            Self::Sia26 => &sia_26::LAYOUT,
        }
    }

    /// Returns the length of the frame in bits.
    #[must_use]
    pub const fn length_bits(self) -> usize {
        self.layout().length_bits
    }

    /// Returns the frame of this kind that `bits` (0 or 1, first sent first) spell, with every check and how it came
    /// out, or `None` unless they are [`length_bits`](Self::length_bits) long.
    ///
    /// ```
    /// use coilwright_signal::frame::FrameKind;
    /// let bits: Vec<u8> = "00110010100001111111111111".bytes().map(|byte| byte - b'0').collect();
    /// assert!(FrameKind::Sia26.check(&bits).is_some_and(|frame| frame.is_valid()));
    /// ```
    #[must_use]
    pub fn check(self, bits: &[u8]) -> Option<Frame> {
        (self.layout().check)(bits)
    }
}
