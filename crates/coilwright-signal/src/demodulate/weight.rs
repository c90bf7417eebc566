//! How likely a signal is under what may have been sent: the one measure that compares line codes, bit lengths and numbers
//! of keys with each other.
//!
//! Under a hypothesis that leaves the power P of a signal of n independent values unexplained, the likelihood in white noise of
//! unknown power is at most a constant times P^(−n/2). The bits that were sent are unknown as well: with a probability q for
//! each sequence of levels, ln p ≥ −n/2 ln P − D(q‖p), P being the mean over q and D what it costs to name the levels when the
//! code allows each sequence alike (the evidence lower bound of variational inference; C. M. Bishop, *Pattern Recognition and
//! Machine Learning*, 2006, section 10.1; from memory). A code of fewer sequences costs less, one that does not fit leaves
//! more: half-bits at random fit whatever a code sends, at ln 2 for each half-bit.

use num_complex::Complex64;

use super::band::{UPPER_EDGE, low_part};
use super::signal::{Sampling, Signal};
use crate::dsp::ComplexSums;

/// Least share of a signal that anything leaves unexplained: single precision does.
const LEAST_SHARE: f64 = 1e-12;

/// The grid of half-bits is moved by this share of one, and then by half as much again and again down to the least.
const LONGEST_SHIFT: f64 = 1.0 / 8.0;
const SHORTEST_SHIFT: f64 = 1.0 / 1000.0;

/// In parts of this length at most, in cycles of the high pass, what it takes is taken to be even.
const LONGEST_PART: f64 = 0.02;

/// So much is left out at each end, in carrier periods: no hypothesis knows what was sent in a bit that is cut off, nor what
/// the high pass makes of it there.
const END_CLOCKS: f64 = 640.0;

/// What hypotheses about one signal are compared by.
#[derive(Clone, Copy)]
pub(super) struct Balance {
    /// The part that is looked at, in values.
    from: f64,
    to: f64,
    /// Power of a value, both parts together.
    pub power: f64,
    /// How many independent values there are.
    independent: f64,
}

impl Balance {
    /// The balance of a signal with this sampling of a carrier of `clock_hz`.
    pub(super) fn of(signal: &Signal, sampling: Sampling, clock_hz: f64) -> Self {
        let whole = signal.values.len();
        let end = (END_CLOCKS * signal.grid.rate_hz / clock_hz).ceil() as usize;
        let end = end.min(whole / 4);
        let squares = signal.values[end..whole - end].iter();
        let squares: f64 = squares.map(|z| f64::from(z.norm_sqr())).sum();
        let count = (whole - 2 * end) as f64;
        Self {
            from: end as f64,
            to: end as f64 + count,
            power: squares / count.max(1.0),
            // Two parts, and the band on both sides of the carrier.
            independent: 2.0 * 2.0 * UPPER_EDGE * count / sampling.factor as f64,
        }
    }

    /// How many values are looked at.
    pub(super) const fn length(&self) -> f64 {
        self.to - self.from
    }

    /// The natural logarithm of the likelihood of what leaves the power `unexplained` of a value, over that of nothing sent at
    /// all, less what it costs to name what was sent.
    pub(super) fn weight(&self, unexplained: f64, cost: f64) -> f64 {
        let share = unexplained / self.power.max(f64::MIN_POSITIVE);
        -0.5 * self.independent * share.max(LEAST_SHARE).ln() - cost
    }
}

/// A signal on a grid of half-bits.
pub(super) struct Seen<'a> {
    pub balance: Balance,
    /// Its running sums.
    pub sums: &'a ComplexSums,
    /// Start of the first half-bit, and the length of each, in values.
    pub start: f64,
    pub half: f64,
    /// Where the high pass of the signal lies, in cycles per half-bit.
    pub high_pass: f64,
}

impl Seen<'_> {
    /// The weight of having sent half-bits of these mean levels, −1 to 1, given what it costs to name them, on this grid.
    pub(super) fn weight(&self, levels: &[f32], cost: f64) -> f64 {
        self.weight_at(0.0, &self.sent(levels), cost)
    }

    /// The same on the grid that fits best of those moved by less than a quarter of a half-bit.
    pub(super) fn timed_weight(&self, levels: &[f32], cost: f64) -> f64 {
        let sent = self.sent(levels);
        let at = |shift: f64| self.weight_at(shift, &sent, cost);
        let (mut best, mut step) = ((0.0, at(0.0)), LONGEST_SHIFT);
        while step > SHORTEST_SHIFT {
            for shift in [best.0 - step, best.0 + step] {
                let weight = at(shift);
                if weight > best.1 {
                    best = (shift, weight);
                }
            }
            step *= 0.5;
        }
        best.1
    }

    /// The levels in parts so short that what the high pass takes is even in each.
    fn sent(&self, levels: &[f32]) -> Sent {
        let parts = (self.high_pass / LONGEST_PART).ceil().max(1.0);
        let count = parts as usize;
        let levels: Vec<f32> = levels
            .iter()
            .flat_map(|&level| std::iter::repeat_n(level, count))
            .collect();
        Sent {
            low: low_part(&levels, self.high_pass / parts),
            length: self.half / parts,
            levels,
        }
    }

    /// The weight on a grid that is moved by a part of a half-bit.
    fn weight_at(&self, shift: f64, sent: &Sent, cost: f64) -> f64 {
        let Balance { from, to, .. } = self.balance;
        let start = self.start + shift * self.half;
        let first = ((from - start) / sent.length).max(0.0) as usize;
        let mut begin = from.max(start);
        let mut before = self.sums.up_to(begin);
        let (mut along, mut size) = (Complex64::default(), 0.0);
        let parts = sent.levels.iter().zip(&sent.low);
        for (k, (&level, &low)) in parts.enumerate().skip(first) {
            let end = (start + (k + 1) as f64 * sent.length).min(to);
            if end <= begin {
                break;
            }
            let after = self.sums.up_to(end);
            let (level, high) = (f64::from(level), f64::from(level - low));
            along += (after - before) * high;
            // A level that is not sure strays round its mean.
            size += (end - begin) * (high * high + 1.0 - level * level);
            (begin, before) = (end, after);
        }
        // The deviation that leaves least, in size and direction, is taken.
        let explained = along.norm_sqr() / size.max(f64::MIN_POSITIVE) / self.balance.length();
        let whole = sent.levels.len().max(1) as f64 * sent.length;
        let unexplained = self.balance.power - explained;
        self.balance
            .weight(unexplained, cost * self.balance.length() / whole)
    }
}

/// What was sent, in parts of half-bits.
struct Sent {
    /// The mean levels, and what the high pass takes from them.
    levels: Vec<f32>,
    low: Vec<f32>,
    /// Length of a part in values.
    length: f64,
}
