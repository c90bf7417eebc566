//! Cyclic redundancy checks of 16 bits, described by the usual five parameters.

/// A 16-bit cyclic redundancy check.
///
/// ```
/// use coilwright_signal::code::crc::KERMIT;
/// assert_eq!(KERMIT.of_bytes(b"123456789"), 0x2189);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Crc16 {
    /// Generator without its x^16 term; bit 15 is x^15.
    pub polynomial: u16,
    /// Register before the first bit.
    pub initial: u16,
    /// Whether each byte enters with its least significant bit first.
    pub reflect_input: bool,
    /// Whether the register is reversed at the end.
    pub reflect_output: bool,
    /// What the register is combined with at the end.
    pub final_xor: u16,
}

/// The check of ISO 11784/11785: x^16 + x^12 + x^5 + 1, preset 0, least significant bit first
/// (NCD1015-LGA data sheet clause 5.2; the catalogue crc-catalog 2.5.0 calls it KERMIT).
pub const KERMIT: Crc16 = Crc16 {
    polynomial: 0x1021,
    initial: 0,
    reflect_input: true,
    reflect_output: true,
    final_xor: 0,
};

/// The check of ISO/IEC 13239 and X.25 (ST LRI64 data sheet, appendix B).
pub const ISO_13239: Crc16 = Crc16 {
    initial: 0xFFFF,
    final_xor: 0xFFFF,
    ..KERMIT
};

impl Crc16 {
    /// Returns the check over `bytes`.
    #[must_use]
    pub fn of_bytes(&self, bytes: &[u8]) -> u16 {
        let bits = bytes.iter().flat_map(|&byte| {
            (0..8).map(move |k| {
                let shift = if self.reflect_input { k } else { 7 - k };
                (byte >> shift) & 1
            })
        });
        self.of_bits(bits)
    }

    /// Returns the check over bits in the order in which they are sent.
    #[must_use]
    pub fn of_bits(&self, bits: impl IntoIterator<Item = u8>) -> u16 {
        let register = bits.into_iter().fold(self.initial, |register, bit| {
            let feedback = (register >> 15) ^ u16::from(bit != 0);
            (register << 1) ^ (feedback * self.polynomial)
        });
        let register = if self.reflect_output {
            register.reverse_bits()
        } else {
            register
        };
        register ^ self.final_xor
    }
}
