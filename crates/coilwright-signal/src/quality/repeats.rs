use super::kernel::{UNIT, UnitSums};
use super::result::LostSamples;
use crate::Span;

/// Units that are remembered: 65 536 values.
const REMEMBERED: usize = 1024;
const SLOTS: usize = 4096;
/// Fewest units in a row that count, so that chance agreement does not matter even in 8-bit noise.
const FEWEST: u64 = 8;
/// If more than this part of the units agrees with an earlier one, the signal is periodic and nothing is said.
const PERIODIC_PART: f64 = 0.1;
const LISTED: usize = 64;

/// Finds stretches that repeat what came before, such as a buffer that was written twice.
///
/// Sums over units of 64 values stand for the values, so that only buffers are found whose length and position are
/// multiples of that, as recorders have them.
#[derive(Debug)]
pub(super) struct RepeatWatch {
    width: usize,
    remembered: Vec<u64>,
    /// For each hash the unit that had it last, plus 1.
    slots: Vec<u64>,
    unit: u64,
    lag: u64,
    run: u64,
    agreeing: u64,
    found: LostSamples,
}

impl RepeatWatch {
    pub(super) fn new(width: usize) -> Self {
        Self {
            width,
            remembered: vec![0; REMEMBERED],
            slots: vec![0; SLOTS],
            unit: 0,
            lag: 0,
            run: 0,
            agreeing: 0,
            found: LostSamples::default(),
        }
    }

    /// Takes the sums of the next units.
    pub(super) fn push(&mut self, units: &[UnitSums]) {
        for unit in units {
            self.push_unit(*unit);
        }
    }

    pub(super) fn finish(mut self) -> LostSamples {
        self.end_run();
        if self.agreeing as f64 > PERIODIC_PART * self.unit as f64 {
            return LostSamples::default();
        }
        self.found
    }

    fn push_unit(&mut self, sums: UnitSums) {
        // A constant unit agrees with any other of the same value.
        let spread = f64::from(sums.square_sum) - f64::from(sums.sum).powi(2) / UNIT as f64;
        let varies = spread > 1e-5 * f64::from(sums.square_sum);
        let print = (u64::from(sums.sum.to_bits()) << 32) | u64::from(sums.square_sum.to_bits());
        if self.run > 0 && !(varies && self.at(self.unit - self.lag) == print) {
            self.end_run();
        }
        let slot = (print.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 52) as usize & (SLOTS - 1);
        if varies {
            if self.run > 0 {
                self.run += 1;
            } else if let Some(lag) = self.lag_to(slot, print) {
                self.lag = lag;
                self.run = 1;
            }
            self.agreeing += u64::from(self.run > 0);
            self.slots[slot] = self.unit + 1;
        }
        self.remembered[self.unit as usize & (REMEMBERED - 1)] = print;
        self.unit += 1;
    }

    fn at(&self, unit: u64) -> u64 {
        self.remembered[unit as usize & (REMEMBERED - 1)]
    }

    fn lag_to(&self, slot: usize, print: u64) -> Option<u64> {
        let earlier = self.slots[slot].checked_sub(1)?;
        let lag = self.unit - earlier;
        // Both are looked at in any case: whether a unit is still remembered is anyone's guess, agreement is rare.
        ((lag < REMEMBERED as u64) & (self.at(earlier) == print)).then_some(lag)
    }

    fn end_run(&mut self) {
        // What agrees for longer than its lag goes round in circles.
        if self.run >= FEWEST && self.run <= self.lag {
            let samples = |unit: u64| unit * (UNIT / self.width) as u64;
            let span = Span::new(samples(self.unit - self.run), samples(self.unit));
            self.found.count += 1;
            self.found.samples += span.len();
            if self.found.spans.len() < LISTED {
                self.found.spans.push(span);
            }
        }
        self.run = 0;
    }
}
