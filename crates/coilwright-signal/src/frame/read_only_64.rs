//! The 64-bit read-only frame of the EM4100 type.
//!
//! Nine ones; ten rows of four data bits and an even parity bit; four even column parities; a stop bit 0. The memory
//! of 64 bits, the rates of 64, 32 and 16 carrier periods a bit and the codes stand in the EM4102 data sheet, p. 1;
//! the layout is common practice, read in secondary sources and from memory. The first two rows are usually a
//! version or customer number.
//!
//! Nine ones can also occur inside a frame whose first nibble is F: only the right alignment passes every parity.

use serde::Serialize;

use std::sync::LazyLock;

use super::layout::{Form, Layout, Sending};
use super::{Check, Frame, FrameFields, FrameKind};
use crate::code::parity;

/// Length of the frame in bits.
pub const LENGTH_BITS: usize = 64;
/// Length of the run of ones that opens the frame.
pub const HEADER_BITS: usize = 9;
const ROWS: usize = 10;
const COLUMNS: usize = 4;
const ROW_BITS: usize = COLUMNS + 1;
const COLUMN_PARITY: usize = HEADER_BITS + ROWS * ROW_BITS;

pub(super) static LAYOUT: Layout = Layout {
    length_bits: LENGTH_BITS,
    sending: Sending::Endless,
    check: |bits| Some(check(bits.try_into().ok()?)),
    forms: LazyLock::new(forms),
};

/// The fields of the frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct ReadOnly64 {
    /// The first two rows: version or customer number.
    pub customer: u8,
    /// The other eight rows: the number of this one.
    pub number: u32,
}

/// Returns the 64 bits of a frame, first sent first.
///
/// ```
/// use coilwright_signal::frame::{ReadOnly64, read_only_64};
/// let bits = read_only_64::encode(&ReadOnly64 { customer: 0x12, number: 0x3456_789A });
/// assert!(read_only_64::check(&bits).is_valid());
/// ```
#[must_use]
pub fn encode(fields: &ReadOnly64) -> [u8; LENGTH_BITS] {
    let data = (u64::from(fields.customer) << 32) | u64::from(fields.number);
    let mut bits = [0; LENGTH_BITS];
    bits[..HEADER_BITS].fill(1);
    for row in 0..ROWS {
        let start = HEADER_BITS + row * ROW_BITS;
        for column in 0..COLUMNS {
            let bit = ((data >> (ROWS * COLUMNS - 1 - row * COLUMNS - column)) & 1) as u8;
            bits[start + column] = bit;
            bits[COLUMN_PARITY + column] ^= bit;
        }
        bits[start + COLUMNS] = parity::even(&bits[start..start + COLUMNS]);
    }
    bits
}

/// Returns the frame that the 64 bits spell, with every check and how it came out.
#[must_use]
pub fn check(bits: &[u8; LENGTH_BITS]) -> Frame {
    let mut checks = vec![Check::new(
        "header of nine ones",
        bits[..HEADER_BITS].iter().all(|&bit| bit == 1),
    )];
    for (row, passed) in (1..).zip(rows(bits).map(|row| parity::even(row) == 0)) {
        checks.push(Check::new(format!("row parity {row}"), passed));
    }
    for column in 0..COLUMNS {
        let passed = column_sum(bits, column) == 0;
        checks.push(Check::new(format!("column parity {}", column + 1), passed));
    }
    checks.push(Check::new("stop bit", bits[LENGTH_BITS - 1] == 0));
    let data = data(bits);
    let fields = ReadOnly64 {
        customer: (data >> 32) as u8,
        number: data as u32,
    };
    Frame {
        kind: FrameKind::ReadOnly64,
        bits: bits.to_vec(),
        payload: format!("{data:010X}"),
        fields: FrameFields::ReadOnly64(fields),
        checks,
    }
}

/// Returns whether header, parities and stop bit all hold: [`check`] without the words.
#[must_use]
pub fn is_valid(bits: &[u8; LENGTH_BITS]) -> bool {
    bits[..HEADER_BITS].iter().all(|&bit| bit == 1)
        && bits[LENGTH_BITS - 1] == 0
        && rows(bits).all(|row| parity::even(row) == 0)
        && (0..COLUMNS).all(|column| column_sum(bits, column) == 0)
}

fn forms() -> Vec<Form> {
    let mut known = vec![None; LENGTH_BITS];
    known[..HEADER_BITS].fill(Some(1));
    known[LENGTH_BITS - 1] = Some(0);
    vec![Form {
        known,
        syndromes: syndromes().to_vec(),
        target: 0,
    }]
}

/// For each bit, which of the 14 parity checks it enters, as a bit set.
fn syndromes() -> [u32; LENGTH_BITS] {
    std::array::from_fn(|position| {
        let Some(index) = position
            .checked_sub(HEADER_BITS)
            .filter(|&index| index < ROWS * ROW_BITS + COLUMNS)
        else {
            return 0;
        };
        let (row, column) = (index / ROW_BITS, index % ROW_BITS);
        let of_row = if row < ROWS { 1 << row } else { 0 };
        let of_column = if column < COLUMNS {
            1 << (ROWS + column)
        } else {
            0
        };
        of_row | of_column
    })
}

fn rows(bits: &[u8; LENGTH_BITS]) -> impl Iterator<Item = &[u8]> {
    bits[HEADER_BITS..COLUMN_PARITY].chunks_exact(ROW_BITS)
}

fn column_sum(bits: &[u8; LENGTH_BITS], column: usize) -> u8 {
    rows(bits).fold(bits[COLUMN_PARITY + column], |sum, row| sum ^ row[column])
}

fn data(bits: &[u8; LENGTH_BITS]) -> u64 {
    rows(bits)
        .flat_map(|row| &row[..COLUMNS])
        .fold(0, |data, &bit| (data << 1) | u64::from(bit))
}
