use super::biphase;
use super::manchester;
use super::model::LineCode;
use super::soft_frame::{SoftFrame, checked};
use crate::frame::{Frame, FrameKind, fdx_b, read_only_64};

/// One way to read symbols as bits of a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Reading {
    pub code: LineCode,
    pub kind: FrameKind,
    pub inverted: bool,
}

/// The readings that are tried. FDX-B is always biphase.
pub(super) const READINGS: [(LineCode, FrameKind); 3] = [
    (LineCode::Manchester, FrameKind::ReadOnly64),
    (LineCode::Biphase, FrameKind::FdxB),
    (LineCode::Biphase, FrameKind::ReadOnly64),
];

/// Two random cycles of 64 bits agree in more than this share less than once in a million.
const AGREEMENT: f64 = 0.8;

/// A frame that was read without correction: its first bit and itself.
pub(super) struct Hit {
    pub reading: Reading,
    pub first_bit: usize,
    pub frame: Frame,
}

/// Soft bits of `symbols` under a line code, not inverted.
pub(super) fn soft_bits(symbols: &[f32], code: LineCode) -> Vec<f32> {
    match code {
        LineCode::Manchester => manchester::soft_bits(symbols),
        LineCode::Biphase => biphase::soft_bits(symbols),
    }
}

/// The frames of the payload that was read most often, in order of time. `ratio` turns a soft bit into a
/// log-likelihood ratio; a payload that was read only once must be sure by its soft bits.
pub(super) fn hard_hits(symbols: &[f32], ratio: f64) -> Vec<Hit> {
    let mut best = Vec::new();
    for (code, kind) in READINGS {
        let soft = soft_bits(symbols, code);
        for inverted in [false, true] {
            let reading = Reading {
                code,
                kind,
                inverted,
            };
            let bits: Vec<u8> = soft
                .iter()
                .map(|&value| u8::from((value > 0.0) != inverted))
                .collect();
            let hits = most_frequent(frames(&bits, reading));
            let sure = match hits.as_slice() {
                [] => false,
                [hit] => is_sure(hit, &soft, ratio),
                _ => true,
            };
            if sure && hits.len() > best.len() {
                best = hits;
            }
        }
    }
    best
}

/// Whether a frame that was read once is no chance hit: a key repeats itself, so a whole neighbouring cycle must show
/// the same bits; without a neighbour the soft bits must be sure enough.
fn is_sure(hit: &Hit, soft: &[f32], ratio: f64) -> bool {
    let length = hit.frame.bits.len();
    let sign = if hit.reading.inverted { -1.0 } else { 1.0 };
    let cycle = |first: Option<usize>| first.and_then(|first| soft.get(first..first + length));
    let neighbours = [
        cycle(hit.first_bit.checked_sub(length)),
        cycle(Some(hit.first_bit + length)),
    ];
    let mut known = neighbours.into_iter().flatten().peekable();
    if known.peek().is_some() {
        return known.any(|cycle| agreement(&hit.frame.bits, cycle, sign) > AGREEMENT);
    }
    let ratios = soft[hit.first_bit..]
        .iter()
        .map(|&value| ratio * f64::from(sign * value));
    // Every alignment of both polarities and three readings had its chance.
    let choices = 2.0 * READINGS.len() as f64 * soft.len() as f64;
    SoftFrame::of(hit.reading.kind).confirms(&hit.frame.bits, ratios, choices)
}

/// The share of bits that a cycle of soft bits has in common with a frame.
fn agreement(bits: &[u8], soft: &[f32], sign: f32) -> f64 {
    let same = bits
        .iter()
        .zip(soft)
        .filter(|&(&bit, &value)| (bit == 1) == (sign * value > 0.0))
        .count();
    same as f64 / bits.len().max(1) as f64
}

/// Every valid frame in `bits`, none overlapping the one before.
fn frames(bits: &[u8], reading: Reading) -> Vec<Hit> {
    let length = reading.kind.length_bits();
    let mut hits = Vec::new();
    let mut next = 0;
    for first_bit in 0..(bits.len() + 1).saturating_sub(length) {
        let window = &bits[first_bit..first_bit + length];
        if first_bit < next || !starts(window, reading.kind) {
            continue;
        }
        if let Some(frame) = checked(reading.kind, window) {
            hits.push(Hit {
                reading,
                first_bit,
                frame,
            });
            next = first_bit + length;
        }
    }
    hits
}

fn starts(window: &[u8], kind: FrameKind) -> bool {
    match kind {
        FrameKind::ReadOnly64 => window[..read_only_64::HEADER_BITS]
            .iter()
            .all(|&bit| bit == 1),
        FrameKind::FdxB => window[..fdx_b::HEADER_BITS - 1].iter().all(|&bit| bit == 0),
    }
}

/// Only the hits with the payload that occurs most often.
fn most_frequent(hits: Vec<Hit>) -> Vec<Hit> {
    let count = |bits: &[u8]| hits.iter().filter(|hit| hit.frame.bits == bits).count();
    let Some(bits) = hits
        .iter()
        .map(|hit| &hit.frame.bits)
        .max_by_key(|bits| count(bits))
        .cloned()
    else {
        return hits;
    };
    hits.into_iter()
        .filter(|hit| hit.frame.bits == bits)
        .collect()
}
