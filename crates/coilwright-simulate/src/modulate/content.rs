use coilwright_signal::frame::{
    FdxB, Frame, Iso11784, ReadOnly64, Sia26, fdx_b, hdx, read_only_64, sia_26,
};

/// The content of a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Content {
    /// The 64-bit read-only frame.
    ReadOnly64(ReadOnly64),
    /// The full-duplex frame of ISO 11784/11785.
    FdxB(FdxB),
    /// The half-duplex telegram of ISO 11784/11785.
    Hdx(Iso11784),
    /// The 26-bit word of SIA AC-01.
    Sia26(Sia26),
    /// Up to 64 bits of no published frame.
    Bits {
        /// How many.
        count: u32,
        /// The bits as a number; the last that is sent is the least significant.
        value: u64,
    },
}

impl Content {
    /// Returns the bits that are sent, first sent first.
    #[must_use]
    pub fn bits(&self) -> Vec<u8> {
        match *self {
            Self::Bits { count, value } => (0..count.min(64))
                .rev()
                .map(|place| (value >> place) as u8 & 1)
                .collect(),
            Self::ReadOnly64(fields) => read_only_64::encode(&fields).to_vec(),
            Self::FdxB(fields) => fdx_b::encode(&fields).to_vec(),
            Self::Hdx(fields) => hdx::encode(&fields).to_vec(),
            Self::Sia26(fields) => sia_26::encode(&fields).to_vec(),
        }
    }

    /// Returns the frame that the bits are; `None` for bits of no published frame.
    #[must_use]
    pub fn frame(&self) -> Option<Frame> {
        match self {
            Self::ReadOnly64(fields) => Some(read_only_64::check(&read_only_64::encode(fields))),
            Self::FdxB(fields) => Some(fdx_b::check(&fdx_b::encode(fields))),
            Self::Hdx(fields) => Some(hdx::check(&hdx::encode(fields))),
            Self::Sia26(fields) => Some(sia_26::check(&sia_26::encode(fields))),
            Self::Bits { .. } => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bits_are_those_of_the_number() {
        let word = Content::Bits {
            count: 5,
            value: 0b01101,
        };
        assert_eq!(word.bits(), [0, 1, 1, 0, 1]);
        assert!(word.frame().is_none());
    }
}
