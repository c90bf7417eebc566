use serde::{Serialize, Serializer};

use super::Gap;
use crate::Span;

/// Distances of two gaps, from fall to fall, that are a symbol, in carrier cycles (ISO/IEC 18000-2 type A; the ranges are from
/// memory, the clauses were not seen).
const SYMBOLS: [(f64, f64, Symbol); 3] = [
    (18.0, 22.0, Symbol::Zero),
    (26.0, 30.0, Symbol::One),
    (34.0, 38.0, Symbol::Violation),
];
/// The field stays on for so long at the end of a message (from memory; the figure agrees with the 42 cycles that the
/// `HTMS1x01` data sheet, p. 23, gives from the last edge on).
const STOP_CLOCKS: f64 = 42.0;
/// Lengths of a gap (from memory).
const GAP_CLOCKS: (f64, f64) = (4.0, 10.0);
/// By how much an edge in a capture may be off: a cycle, since the ring smears edges and gaps start at any phase.
const TOLERANCE_CLOCKS: f64 = 1.0;
/// Fewer gaps than this are no message.
const LEAST_GAPS: usize = 4;
/// Less than this share of intervals that fit is another coding, or no message at all.
const LEAST_SHARE: f64 = 0.75;
/// Intervals that a message lists at most.
const INTERVALS_AT_MOST: usize = 1024;

/// What the distance of two gaps says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Symbol {
    /// 18 to 22 carrier cycles.
    Zero,
    /// 26 to 30 carrier cycles.
    One,
    /// 34 to 38 carrier cycles: breaks the coding on purpose, as a mark.
    Violation,
}

impl Symbol {
    /// Returns `0`, `1` or `V`.
    #[must_use]
    pub const fn letter(self) -> char {
        match self {
            Self::Zero => '0',
            Self::One => '1',
            Self::Violation => 'V',
        }
    }

    fn of(clocks: f64) -> Option<Self> {
        SYMBOLS
            .into_iter()
            .find(|&(least, most, _)| {
                (least - TOLERANCE_CLOCKS..=most + TOLERANCE_CLOCKS).contains(&clocks)
            })
            .map(|(_, _, symbol)| symbol)
    }
}

impl Serialize for Symbol {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_char(self.letter())
    }
}

/// From the fall of the field in one gap to that in the next.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Interval {
    /// The samples from fall to fall.
    pub span: Span,
    /// Its length in carrier cycles.
    pub clocks: f64,
    /// Length of the gap that it begins with, in carrier cycles, as the ring leaves it.
    pub gap_clocks: f64,
    /// The symbol; `None` where the length is none.
    pub symbol: Option<Symbol>,
}

/// A run of gaps, closer together than the field stays on at the end of a message.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Message {
    /// From the first fall to the end of the last gap.
    pub span: Span,
    /// The intervals, in order; at most 1024.
    pub intervals: Vec<Interval>,
    /// How many there are.
    pub interval_count: u64,
    /// How many have a length that is no symbol.
    pub unfit_count: u64,
    /// How many gaps are shorter or longer than the coding has them. A ring of high Q shortens them.
    pub unfit_gap_count: u64,
    /// Whether the intervals are those of the coding: three in four fit.
    pub fits: bool,
}

impl Message {
    /// Returns the symbols in order of time, `?` for what is none.
    #[must_use]
    pub fn text(&self) -> String {
        let letters = self.intervals.iter();
        letters
            .map(|interval| interval.symbol.map_or('?', Symbol::letter))
            .collect()
    }
}

/// Returns the messages that gaps make, given the samples in a carrier cycle.
///
/// A message ends where the field stays on for 42 carrier cycles and more, or at the last gap. Runs of fewer than four gaps
/// are none.
///
/// ```
/// use coilwright_signal::downlink::{Gap, messages};
/// // Falls 20, 28 and 20 carrier cycles apart, 8 samples a cycle.
/// let gaps = [0.0, 20.0, 48.0, 68.0].map(|at| Gap { start: 8.0 * at, end: 8.0 * (at + 7.0), level_ratio: 0.1 });
/// let found = messages(&gaps, 8.0);
/// assert_eq!(found[0].text(), "010");
/// ```
#[must_use]
pub fn messages(gaps: &[Gap], samples_per_clock: f64) -> Vec<Message> {
    let clocks = |pair: &[Gap]| (pair[1].start - pair[0].start) / samples_per_clock;
    gaps.chunk_by(|a, b| clocks(&[*a, *b]) < STOP_CLOCKS)
        .filter(|run| run.len() >= LEAST_GAPS)
        .map(|run| message(run, samples_per_clock))
        .collect()
}

fn message(run: &[Gap], samples_per_clock: f64) -> Message {
    let gap_clocks = |gap: &Gap| (gap.end - gap.start) / samples_per_clock;
    let interval = |pair: &[Gap]| {
        let clocks = (pair[1].start - pair[0].start) / samples_per_clock;
        Interval {
            span: Span::new(pair[0].start.round() as u64, pair[1].start.round() as u64),
            clocks,
            gap_clocks: gap_clocks(&pair[0]),
            symbol: Symbol::of(clocks),
        }
    };
    let all = run.windows(2).map(interval);
    let unfit = all
        .clone()
        .filter(|interval| interval.symbol.is_none())
        .count();
    let (least, most) = GAP_CLOCKS;
    let range = least - TOLERANCE_CLOCKS..=most + TOLERANCE_CLOCKS;
    let unfit_gaps = run
        .iter()
        .filter(|gap| !range.contains(&gap_clocks(gap)))
        .count();
    let count = run.len() - 1;
    let (first, last) = (run[0].span(), run[run.len() - 1].span());
    Message {
        span: Span::new(first.start, last.end),
        intervals: all.take(INTERVALS_AT_MOST).collect(),
        interval_count: count as u64,
        unfit_count: unfit as u64,
        unfit_gap_count: unfit_gaps as u64,
        fits: (count - unfit) as f64 >= LEAST_SHARE * count as f64,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gaps_at(clocks: &[f64]) -> Vec<Gap> {
        let gap = |&at: &f64| Gap {
            start: 8.0 * at,
            end: 8.0 * (at + 6.0),
            level_ratio: 0.0,
        };
        clocks.iter().map(gap).collect()
    }

    #[test]
    fn a_long_field_parts_messages_and_what_does_not_fit_is_counted() {
        // 20, 36, 24 (none), 28, 20; 60; 20, 20, 28.
        let gaps = gaps_at(&[
            0.0, 20.0, 56.0, 80.0, 108.0, 128.0, 188.0, 208.0, 228.0, 256.0,
        ]);
        let found = messages(&gaps, 8.0);
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].text(), "0V?10");
        assert_eq!((found[0].interval_count, found[0].unfit_count), (5, 1));
        assert!(found[0].fits);
        assert_eq!(found[1].text(), "001");
        assert_eq!(found[1].span, Span::new(8 * 188, 8 * 262));
    }

    #[test]
    fn gaps_of_another_coding_do_not_fit() {
        let found = messages(&gaps_at(&[0.0, 12.0, 24.0, 48.0, 60.0]), 8.0);
        assert_eq!(found[0].text(), "????");
        assert!(!found[0].fits);
        assert!(messages(&gaps_at(&[0.0, 20.0, 40.0]), 8.0).is_empty());
    }
}
