//! The code of ISO 11784 and what goes round it in both frames of ISO 11785: 64 identification bits, a CRC-16 over
//! them, and a trailer of 24 bits.
//!
//! The identification goes least significant bit first, and so does the check (H4005 data sheet p. 5; HITAG µ data
//! sheet p. 13; NCD1015-LGA data sheet clause 5.2). Bit numbers count from 1 the way ISO 11784 does: bit 1 is sent last.

use serde::Serialize;

use crate::code::crc::KERMIT;

/// Bits that the check covers, and its own.
pub(super) const CHECKED_BITS: usize = 80;
/// Identification, check and trailer.
pub(super) const CONTENT_BITS: usize = 104;
/// Place of the data block flag (bit 16) among the content bits.
pub(super) const DATA_BLOCK_AT: usize = 48;

/// The fields of a code of ISO 11784 and its trailer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(into = "Fields")]
pub struct Iso11784 {
    /// Whether the transponder is on an animal (bit 1).
    pub animal: bool,
    /// The 14 reserved bits (2 to 15), bit 15 being the least significant; later editions gave them the meanings of
    /// [`retagging_counter`](Self::retagging_counter), [`user_information`](Self::user_information),
    /// [`reserved_for_future`](Self::reserved_for_future) and [`is_advanced`](Self::is_advanced).
    pub reserved: u16,
    /// Whether an additional data block follows (bit 16).
    pub data_block: bool,
    /// Country by ISO 3166 number, or manufacturer (900 to 998), or 999 for tests; 10 bits (17 to 26).
    pub country: u16,
    /// National identification code, 38 bits (27 to 64).
    pub national: u64,
    /// The three trailer bytes as a number of 24 bits, least significant bit sent first; 0 where no data block follows.
    /// No check covers them.
    pub trailer: u32,
}

/// Who gave out the code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Issuer {
    /// A country by its ISO 3166 number.
    Country,
    /// A manufacturer: 900 to 998.
    Manufacturer,
    /// 999, for tests (from memory).
    Test,
    /// 0 and what lies above 999.
    Unassigned,
}

impl Iso11784 {
    /// Returns the 64 identification bits as a number; bit 63 of it is the animal flag. Fields that are too large lose
    /// their upper bits.
    #[must_use]
    pub fn identification(&self) -> u64 {
        (u64::from(self.animal) << 63)
            | (u64::from(self.reserved & 0x3FFF) << 49)
            | (u64::from(self.data_block) << 48)
            | (u64::from(self.country & 0x3FF) << 38)
            | (self.national & 0x3F_FFFF_FFFF)
    }

    /// Returns the retagging counter, 0 to 7 (bits 2 to 4 in later editions; from memory).
    #[must_use]
    pub fn retagging_counter(&self) -> u8 {
        (self.reserved >> 11) as u8 & 0b111
    }

    /// Returns the user information, 0 to 31 (bits 5 to 9 in later editions; from memory).
    #[must_use]
    pub fn user_information(&self) -> u8 {
        (self.reserved >> 6) as u8 & 0b1_1111
    }

    /// Returns the bits that are still reserved, 0 to 31 (bits 10 to 14 in later editions; from memory).
    #[must_use]
    pub fn reserved_for_future(&self) -> u8 {
        (self.reserved >> 1) as u8 & 0b1_1111
    }

    /// Returns whether the transponder is an advanced one (bit 15 in later editions; HITAG µ data sheet p. 13).
    #[must_use]
    pub fn is_advanced(&self) -> bool {
        self.reserved & 1 == 1
    }

    /// Returns who gave out the code.
    #[must_use]
    pub fn issuer(&self) -> Issuer {
        match self.country {
            1..900 => Issuer::Country,
            900..999 => Issuer::Manufacturer,
            999 => Issuer::Test,
            _ => Issuer::Unassigned,
        }
    }

    /// The 104 content bits as sent: identification, check, trailer.
    pub(super) fn content(&self) -> impl Iterator<Item = u8> + use<> {
        let (identification, trailer) = (self.identification(), self.trailer);
        let crc = KERMIT.of_bytes(&identification.to_le_bytes());
        (0..64)
            .map(move |shift| (identification >> shift) as u8 & 1)
            .chain((0..16).map(move |shift| (crc >> shift) as u8 & 1))
            .chain((0..24).map(move |shift| (trailer >> shift) as u8 & 1))
    }

    /// The fields that content bits spell; bits that are missing count as 0.
    pub(super) fn of_content(content: &[u8]) -> Self {
        let number = |from: usize, count: usize| {
            let bits = content.iter().skip(from).take(count).enumerate();
            bits.fold(0, |value, (shift, &bit)| value | u64::from(bit) << shift)
        };
        let identification = number(0, 64);
        Self {
            animal: identification >> 63 == 1,
            reserved: ((identification >> 49) & 0x3FFF) as u16,
            data_block: (identification >> 48) & 1 == 1,
            country: ((identification >> 38) & 0x3FF) as u16,
            national: identification & 0x3F_FFFF_FFFF,
            trailer: number(CHECKED_BITS, 24) as u32,
        }
    }
}

/// Whether the check of content bits holds: the register is empty again once the check itself went through it.
pub(super) fn has_crc(content: &[u8]) -> bool {
    content.len() >= CHECKED_BITS && KERMIT.of_bits(content[..CHECKED_BITS].iter().copied()) == 0
}

/// For each content bit, what it adds to the register of the check.
pub(super) fn syndromes() -> [u32; CONTENT_BITS] {
    let mut syndromes = [0; CONTENT_BITS];
    for (position, syndrome) in syndromes.iter_mut().take(CHECKED_BITS).enumerate() {
        let alone = (0..CHECKED_BITS).map(|k| u8::from(k == position));
        *syndrome = KERMIT.of_bits(alone).into();
    }
    syndromes
}

/// What is written out of a code.
#[derive(Serialize)]
struct Fields {
    animal: bool,
    reserved: u16,
    retagging_counter: u8,
    user_information: u8,
    reserved_for_future: u8,
    advanced: bool,
    data_block: bool,
    country: u16,
    issuer: Issuer,
    national: u64,
    trailer: u32,
}

impl From<Iso11784> for Fields {
    fn from(code: Iso11784) -> Self {
        Self {
            animal: code.animal,
            reserved: code.reserved,
            retagging_counter: code.retagging_counter(),
            user_information: code.user_information(),
            reserved_for_future: code.reserved_for_future(),
            advanced: code.is_advanced(),
            data_block: code.data_block,
            country: code.country,
            issuer: code.issuer(),
            national: code.national,
            trailer: code.trailer,
        }
    }
}

/// The content bits that are known once the data block flag is: without a data block the trailer is all zeros (H4005
/// data sheet p. 5).
pub(super) fn known(data_block: u8) -> [Option<u8>; CONTENT_BITS] {
    let mut known = [None; CONTENT_BITS];
    known[DATA_BLOCK_AT] = Some(data_block);
    if data_block == 0 {
        known[CHECKED_BITS..].fill(Some(0));
    }
    known
}
