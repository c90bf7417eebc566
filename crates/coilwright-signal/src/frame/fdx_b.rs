//! The full-duplex frame of ISO 11784/11785 at 134.2 kHz.
//!
//! 128 bits: the header 00000000001; eight groups of eight identification bits, each closed by a control bit 1; two
//! groups with the check (CRC-16); three groups with the trailer (H4005 data sheet p. 5). The identification goes
//! least significant bit first, and so does the check, which covers the 64 identification bits alone
//! (NCD1015-LGA data sheet clause 5.2; coverage from a secondary source). Sent as differential biphase at 32 carrier
//! periods a bit (EM4205/4305 data sheet p. 6).
//!
//! An identification of all zeros has the check 0000h and is a valid frame; silence read as zeros is not, because
//! header and control bits hold ones.

use serde::Serialize;

use super::{Check, Frame, FrameFields, FrameKind};
use crate::code::crc::KERMIT;

/// Length of the frame in bits.
pub const LENGTH_BITS: usize = 128;
/// Length of the header, ten zeros and a one.
pub const HEADER_BITS: usize = 11;
const GROUP_BITS: usize = 9;
const GROUPS: usize = 13;
const IDENTIFICATION_GROUPS: usize = 8;
const CHECK_GROUPS: usize = 2;

/// The fields of the frame. Bit numbers in parentheses count from 1, the way ISO 11784 does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct FdxB {
    /// Whether the transponder is on an animal (bit 1).
    pub animal: bool,
    /// The 14 reserved bits (2 to 15), bit 15 being the least significant. Later editions use them for the retagging
    /// counter and user information; bit 15 set marks an advanced transponder (HITAG µ data sheet p. 13).
    pub reserved: u16,
    /// Whether an additional data block follows (bit 16).
    pub data_block: bool,
    /// Country by ISO 3166 number, or manufacturer (900 to 998), or 999 for tests; 10 bits (17 to 26).
    pub country: u16,
    /// National identification code, 38 bits (27 to 64).
    pub national: u64,
    /// The three trailer bytes as a number of 24 bits, least significant bit sent first; 0 where no data block follows.
    pub trailer: u32,
}

impl FdxB {
    /// Returns the 64 identification bits as a number; bit 63 is the animal flag. Fields that are too large lose
    /// their upper bits.
    #[must_use]
    pub fn identification(&self) -> u64 {
        (u64::from(self.animal) << 63)
            | (u64::from(self.reserved & 0x3FFF) << 49)
            | (u64::from(self.data_block) << 48)
            | (u64::from(self.country & 0x3FF) << 38)
            | (self.national & 0x3F_FFFF_FFFF)
    }

    fn from_bits(identification: u64, trailer: u32) -> Self {
        Self {
            animal: identification >> 63 == 1,
            reserved: ((identification >> 49) & 0x3FFF) as u16,
            data_block: (identification >> 48) & 1 == 1,
            country: ((identification >> 38) & 0x3FF) as u16,
            national: identification & 0x3F_FFFF_FFFF,
            trailer,
        }
    }
}

/// Returns the 128 bits of a frame, first sent first.
///
/// ```
/// use coilwright_signal::frame::{FdxB, fdx_b};
/// let sheep = FdxB { animal: true, reserved: 0, data_block: false, country: 999, national: 123_456_789_012, trailer: 0 };
/// assert!(fdx_b::check(&fdx_b::encode(&sheep)).is_valid());
/// ```
#[must_use]
pub fn encode(fields: &FdxB) -> [u8; LENGTH_BITS] {
    let identification = fields.identification();
    let crc = KERMIT.of_bytes(&identification.to_le_bytes());
    let content = (0..64)
        .map(|shift| (identification >> shift) as u8 & 1)
        .chain((0..16).map(|shift| (crc >> shift) as u8 & 1))
        .chain((0..24).map(|shift| (fields.trailer >> shift) as u8 & 1));
    let mut bits = [0; LENGTH_BITS];
    bits[HEADER_BITS - 1] = 1;
    for (index, bit) in content.enumerate() {
        bits[HEADER_BITS + index / 8 * GROUP_BITS + index % 8] = bit;
    }
    for group in 0..GROUPS {
        bits[HEADER_BITS + group * GROUP_BITS + 8] = 1;
    }
    bits
}

/// Returns the frame that the 128 bits spell, with every check and how it came out.
#[must_use]
pub fn check(bits: &[u8; LENGTH_BITS]) -> Frame {
    let identification = content(bits, 0, IDENTIFICATION_GROUPS)
        .rev()
        .fold(0, shift_in);
    let trailer = content(bits, IDENTIFICATION_GROUPS + CHECK_GROUPS, GROUPS)
        .rev()
        .fold(0, shift_in) as u32;
    Frame {
        kind: FrameKind::FdxB,
        bits: bits.to_vec(),
        payload: format!("{identification:016X}"),
        fields: FrameFields::FdxB(FdxB::from_bits(identification, trailer)),
        checks: vec![
            Check::new("header of ten zeros and a one", has_header(bits)),
            Check::new("control bits", has_control_bits(bits)),
            Check::new("CRC-16", has_crc(bits)),
        ],
    }
}

/// Returns whether header, control bits and check all hold: [`check`] without the words.
#[must_use]
pub fn is_valid(bits: &[u8; LENGTH_BITS]) -> bool {
    has_header(bits) && has_control_bits(bits) && has_crc(bits)
}

/// The bits that are the same in every frame.
pub(crate) fn known_bits() -> [Option<u8>; LENGTH_BITS] {
    std::array::from_fn(|position| match position.checked_sub(HEADER_BITS) {
        None => Some(u8::from(position == HEADER_BITS - 1)),
        Some(index) => (index % GROUP_BITS == GROUP_BITS - 1).then_some(1),
    })
}

/// For each bit, what it adds to the register of the check, which is empty at the end of a valid frame.
pub(crate) fn syndromes() -> [u32; LENGTH_BITS] {
    let mut syndromes = [0; LENGTH_BITS];
    for index in 0..(IDENTIFICATION_GROUPS + CHECK_GROUPS) * 8 {
        let position = HEADER_BITS + index / 8 * GROUP_BITS + index % 8;
        let mut alone = [0; LENGTH_BITS];
        alone[position] = 1;
        syndromes[position] = KERMIT
            .of_bits(content(&alone, 0, IDENTIFICATION_GROUPS + CHECK_GROUPS))
            .into();
    }
    syndromes
}

fn has_header(bits: &[u8; LENGTH_BITS]) -> bool {
    bits[..HEADER_BITS - 1].iter().all(|&bit| bit == 0) && bits[HEADER_BITS - 1] == 1
}

fn has_control_bits(bits: &[u8; LENGTH_BITS]) -> bool {
    bits[HEADER_BITS..]
        .iter()
        .skip(8)
        .step_by(GROUP_BITS)
        .all(|&bit| bit == 1)
}

/// The register is empty again once the check itself went through it.
fn has_crc(bits: &[u8; LENGTH_BITS]) -> bool {
    KERMIT.of_bits(content(bits, 0, IDENTIFICATION_GROUPS + CHECK_GROUPS)) == 0
}

fn content(
    bits: &[u8; LENGTH_BITS],
    first: usize,
    end: usize,
) -> impl DoubleEndedIterator<Item = u8> {
    (first * 8..end * 8).map(|index| bits[HEADER_BITS + index / 8 * GROUP_BITS + index % 8])
}

fn shift_in(value: u64, bit: u8) -> u64 {
    (value << 1) | u64::from(bit)
}
