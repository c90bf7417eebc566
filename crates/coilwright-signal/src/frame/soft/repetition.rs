use serde::Serialize;

use super::fold::{Folded, fold};
use super::problem::{Alignment, Ends, Window};
use super::{Coding, SoftValues};

/// Shortest and longest period that is looked for, in bits.
const PERIOD_BITS: (usize, usize) = (8, 1024);
/// So many values are looked at.
const VALUES_AT_MOST: usize = 4096;
/// The periods with the largest autocorrelation that are worked out.
const CANDIDATES: usize = 16;
/// Natural logarithm of the odds of a repeat over random values: 1000 to 1 for each of 1000 periods.
const LEAST_EVIDENCE: f64 = 13.8;

/// A block of bits that repeats, whatever it means.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Repetition {
    /// Length of the block in bits: the shortest that explains the values.
    pub period_bits: usize,
    /// How often it was seen; the last may be partial.
    pub repeats: f64,
    /// Where the block below begins first, in bits from the first.
    pub first_bit: usize,
    /// The bits of the block, in the rotation that makes the smallest number: the same whenever listening began.
    pub bits: Vec<u8>,
    /// How sure each bit is: log-likelihood ratio, positive for 1.
    pub ratios: Vec<f32>,
    /// Natural logarithm of the odds that the values repeat over that they are random.
    pub evidence: f64,
}

impl Repetition {
    /// Returns the repeating block in soft values, or `None` where no period of 8 to 1024 bits is sure.
    ///
    /// Candidates are the periods at which the values correlate most with themselves; the one that explains all values
    /// best, with as few free bits as it can, is taken. A period that was seen less than one and a half times is
    /// not claimed.
    ///
    /// ```
    /// use coilwright_signal::frame::soft::{Coding, Repetition, SoftValues};
    /// let block = [0, 1, 1, 0, 1, 1, 1, 0, 1, 0_u8];
    /// let ratios: Vec<f32> = block.iter().cycle().skip(4).take(64).map(|&bit| 8.0 * f32::from(bit) - 4.0).collect();
    /// let found = Repetition::of(&SoftValues { ratios: &ratios, coding: Coding::Direct });
    /// assert!(found.is_some_and(|found| found.bits == [0, 0, 1, 1, 0, 1, 1, 1, 0, 1] && found.first_bit == 5));
    /// ```
    #[must_use]
    pub fn of(values: &SoftValues<'_>) -> Option<Self> {
        let ratios = &values.ratios[..values.ratios.len().min(VALUES_AT_MOST)];
        let folded = periods(ratios, values.coding)
            .into_iter()
            .flat_map(|period| fold(ratios, period, values.coding))
            .filter(|folded| folded.coherence >= LEAST_EVIDENCE)
            .max_by(|a, b| a.coherence.total_cmp(&b.coherence))?;
        Some(Self::of_folded(&folded, values.coding))
    }

    fn of_folded(folded: &Folded, coding: Coding) -> Self {
        let window = Window {
            ratios: &folded.ratios,
            coding,
            ends: Ends::Closed(folded.closing),
        };
        let length = folded.ratios.len();
        let straight = Alignment {
            start: 0,
            inverted: false,
        };
        let ratios: Vec<f32> = (0..length)
            .map(|k| window.bit(straight, k) as f32)
            .collect();
        let bits: Vec<u8> = ratios.iter().map(|&ratio| u8::from(ratio > 0.0)).collect();
        let rotated = |start: usize| (0..length).map(move |k| (start + k) % length);
        let first_bit = (0..length)
            .min_by(|&a, &b| {
                let of = |start| rotated(start).map(|k| bits[k]);
                of(a).cmp(of(b))
            })
            .unwrap_or_default();
        Self {
            period_bits: length,
            repeats: folded.repeats,
            first_bit,
            bits: rotated(first_bit).map(|k| bits[k]).collect(),
            ratios: rotated(first_bit).map(|k| ratios[k]).collect(),
            evidence: folded.coherence,
        }
    }
}

/// The periods at which the values agree most with themselves.
fn periods(ratios: &[f32], coding: Coding) -> Vec<usize> {
    let soft: Vec<f32> = ratios.iter().map(|ratio| (0.5 * ratio).tanh()).collect();
    let longest = (ratios.len() * 2 / 3).min(PERIOD_BITS.1);
    let mut ranked: Vec<(f32, usize)> = (PERIOD_BITS.0..=longest)
        .map(|lag| {
            let products = soft.iter().zip(&soft[lag..]).map(|(a, b)| a * b);
            let sum: f32 = products.sum();
            let agreement = match coding {
                Coding::Direct => sum,
                Coding::Differential => sum.abs(),
            };
            (agreement / ((soft.len() - lag) as f32).sqrt(), lag)
        })
        .collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    ranked.truncate(CANDIDATES);
    ranked.into_iter().map(|(_, lag)| lag).collect()
}
