//! The 26-bit layout of SIA AC-01.
//!
//! Bit 1 is even parity over bits 2 to 13; bits 2 to 9 are the site, bits 10 to 25 the card; bit 26 is odd parity over
//! bits 14 to 25 (a knowledge base of a lock maker on the "26A" format; AC-01 itself not seen).
//!
//! Two parity bits are little: a quarter of all words pass. In a stream of bits without a known start the layout proves
//! nothing, so it is only read where the bits are given.

use serde::Serialize;

use std::sync::LazyLock;

use super::layout::{Form, Layout, Sending};
use super::{Check, Frame, FrameFields, FrameKind};
use crate::code::parity;

/// Length of the word in bits.
pub const LENGTH_BITS: usize = 26;
/// Length of each of the halves, its parity bit with it.
const HALF_BITS: usize = 13;

pub(super) static LAYOUT: Layout = Layout {
    length_bits: LENGTH_BITS,
    sending: Sending::Endless,
    check: |bits| Some(check(bits.try_into().ok()?)),
    forms: LazyLock::new(forms),
};

/// The fields of the word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Sia26 {
    /// The site, 8 bits.
    pub site: u8,
    /// The card, 16 bits.
    pub card: u16,
}

/// Returns the 26 bits, first sent first.
///
/// ```
/// use coilwright_signal::frame::{Sia26, sia_26};
/// assert!(sia_26::check(&sia_26::encode(&Sia26 { site: 101, card: 4095 })).is_valid());
/// ```
#[must_use]
pub fn encode(fields: &Sia26) -> [u8; LENGTH_BITS] {
    let data = (u32::from(fields.site) << 16) | u32::from(fields.card);
    let mut bits = [0; LENGTH_BITS];
    for (place, bit) in bits[1..LENGTH_BITS - 1].iter_mut().rev().enumerate() {
        *bit = (data >> place) as u8 & 1;
    }
    bits[0] = parity::even(&bits[1..HALF_BITS]);
    bits[LENGTH_BITS - 1] = parity::odd(&bits[HALF_BITS..LENGTH_BITS - 1]);
    bits
}

/// Returns the word that the 26 bits spell, with both checks and how they came out.
#[must_use]
pub fn check(bits: &[u8; LENGTH_BITS]) -> Frame {
    let data = bits[1..LENGTH_BITS - 1]
        .iter()
        .fold(0_u32, |data, &bit| (data << 1) | u32::from(bit));
    let fields = Sia26 {
        site: (data >> 16) as u8,
        card: data as u16,
    };
    Frame {
        kind: FrameKind::Sia26,
        bits: bits.to_vec(),
        payload: format!("{data:06X}"),
        fields: FrameFields::Sia26(fields),
        checks: vec![
            Check::new("even parity", parity::even(&bits[..HALF_BITS]) == 0),
            Check::new("odd parity", parity::even(&bits[HALF_BITS..]) == 1),
        ],
    }
}

fn forms() -> Vec<Form> {
    let half = |position: usize| 1 << (position / HALF_BITS);
    vec![Form {
        known: vec![None; LENGTH_BITS],
        syndromes: (0..LENGTH_BITS).map(half).collect(),
        target: 0b10,
    }]
}
