//! The half-duplex telegram of ISO 11784/11785 at 134.2 kHz.
//!
//! 112 bits: the start byte 01111110; 64 identification bits; the check (CRC-16); a trailer of 24 bits; no control bits
//! in between. The number of 112 is second hand, its split and the start byte of the standard are from memory (second
//! hand for chips of that kind). Identification and check go least significant bit first, as in the full-duplex frame.
//!
//! A transponder sends it once after each burst of the field, as 16 cycles a bit of 134.2 kHz for 0 and 124.2 kHz for 1
//! (NCD1015ZP data sheet p. 1 and clause 2.3), so bits differ in length, and often after 16 bits 0 (from memory).

use std::sync::LazyLock;

use super::iso_11784::{self, CONTENT_BITS};
use super::layout::{Form, Layout, Sending};
use super::{Check, Frame, FrameFields, FrameKind, Iso11784};

/// Length of the telegram in bits.
pub const LENGTH_BITS: usize = START.len() + CONTENT_BITS;
/// The start byte as sent.
pub const START: [u8; 8] = [0, 1, 1, 1, 1, 1, 1, 0];

pub(super) static LAYOUT: Layout = Layout {
    length_bits: LENGTH_BITS,
    sending: Sending::Once,
    check: |bits| Some(check(bits.try_into().ok()?)),
    forms: LazyLock::new(forms),
};

/// Returns the 112 bits of a telegram, first sent first.
///
/// ```
/// use coilwright_signal::frame::{Iso11784, hdx};
/// let sheep = Iso11784 { animal: true, reserved: 0, data_block: false, country: 999, national: 123_456_789_012, trailer: 0 };
/// assert!(hdx::check(&hdx::encode(&sheep)).is_valid());
/// ```
#[must_use]
pub fn encode(fields: &Iso11784) -> [u8; LENGTH_BITS] {
    let mut bits = [0; LENGTH_BITS];
    for (bit, sent) in bits
        .iter_mut()
        .zip(START.into_iter().chain(fields.content()))
    {
        *bit = sent;
    }
    bits
}

/// Returns the telegram that the 112 bits spell, with every check and how it came out.
#[must_use]
pub fn check(bits: &[u8; LENGTH_BITS]) -> Frame {
    let (start, content) = bits.split_at(START.len());
    let fields = Iso11784::of_content(content);
    Frame {
        kind: FrameKind::Hdx,
        bits: bits.to_vec(),
        payload: format!("{:016X}", fields.identification()),
        fields: FrameFields::Hdx(fields),
        checks: vec![
            Check::new("start byte 01111110", start == START),
            Check::new("CRC-16", iso_11784::has_crc(content)),
        ],
    }
}

/// Without a data block the trailer is all zeros; with one no check covers it.
fn forms() -> Vec<Form> {
    let mut syndromes = vec![0; START.len()];
    syndromes.extend(iso_11784::syndromes());
    [0, 1]
        .map(|data_block| {
            let mut known: Vec<Option<u8>> = START.map(Some).to_vec();
            known.extend(iso_11784::known(data_block));
            Form {
                known,
                syndromes: syndromes.clone(),
                target: 0,
            }
        })
        .to_vec()
}
