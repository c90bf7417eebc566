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

use std::sync::LazyLock;

use super::iso_11784::{self, CONTENT_BITS};
use super::layout::{Form, Layout, Sending};
use super::{Check, Frame, FrameFields, FrameKind, Iso11784};

/// The fields of the frame.
pub type FdxB = Iso11784;

/// Length of the frame in bits.
pub const LENGTH_BITS: usize = 128;
/// Length of the header, ten zeros and a one.
pub const HEADER_BITS: usize = 11;
const GROUP_BITS: usize = 9;

pub(super) static LAYOUT: Layout = Layout {
    length_bits: LENGTH_BITS,
    sending: Sending::Endless,
    check: |bits| Some(check(bits.try_into().ok()?)),
    forms: LazyLock::new(forms),
};

/// Returns the 128 bits of a frame, first sent first.
///
/// ```
/// use coilwright_signal::frame::{FdxB, fdx_b};
/// let sheep = FdxB { animal: true, reserved: 0, data_block: false, country: 999, national: 123_456_789_012, trailer: 0 };
/// assert!(fdx_b::check(&fdx_b::encode(&sheep)).is_valid());
/// ```
#[must_use]
pub fn encode(fields: &FdxB) -> [u8; LENGTH_BITS] {
    let mut bits = [1; LENGTH_BITS];
    bits[..HEADER_BITS - 1].fill(0);
    for (index, bit) in fields.content().enumerate() {
        bits[place(index)] = bit;
    }
    bits
}

/// Returns the frame that the 128 bits spell, with every check and how it came out.
#[must_use]
pub fn check(bits: &[u8; LENGTH_BITS]) -> Frame {
    let content = content(bits);
    let fields = Iso11784::of_content(&content);
    Frame {
        kind: FrameKind::FdxB,
        bits: bits.to_vec(),
        payload: format!("{:016X}", fields.identification()),
        fields: FrameFields::FdxB(fields),
        checks: vec![
            Check::new("header of ten zeros and a one", has_header(bits)),
            Check::new("control bits", has_control_bits(bits)),
            Check::new("CRC-16", iso_11784::has_crc(&content)),
        ],
    }
}

/// Returns whether header, control bits and check all hold: [`check`] without the words.
#[must_use]
pub fn is_valid(bits: &[u8; LENGTH_BITS]) -> bool {
    has_header(bits) && has_control_bits(bits) && iso_11784::has_crc(&content(bits))
}

fn forms() -> Vec<Form> {
    let mut syndromes = vec![0; LENGTH_BITS];
    for (index, syndrome) in iso_11784::syndromes().into_iter().enumerate() {
        syndromes[place(index)] = syndrome;
    }
    let form = |data_block| {
        let mut known = vec![Some(1); LENGTH_BITS];
        known[..HEADER_BITS - 1].fill(Some(0));
        for (index, bit) in iso_11784::known(data_block).into_iter().enumerate() {
            known[place(index)] = bit;
        }
        Form {
            known,
            syndromes: syndromes.clone(),
            target: 0,
        }
    };
    vec![form(0), form(1)]
}

fn has_header(bits: &[u8; LENGTH_BITS]) -> bool {
    bits[..HEADER_BITS - 1].iter().all(|&bit| bit == 0) && bits[HEADER_BITS - 1] == 1
}

fn has_control_bits(bits: &[u8; LENGTH_BITS]) -> bool {
    bits[HEADER_BITS..]
        .iter()
        .skip(GROUP_BITS - 1)
        .step_by(GROUP_BITS)
        .all(|&bit| bit == 1)
}

fn content(bits: &[u8; LENGTH_BITS]) -> [u8; CONTENT_BITS] {
    std::array::from_fn(|index| bits[place(index)])
}

/// Place of a content bit in the frame.
const fn place(index: usize) -> usize {
    HEADER_BITS + index / 8 * GROUP_BITS + index % 8
}
