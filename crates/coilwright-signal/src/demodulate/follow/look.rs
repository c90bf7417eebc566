use num_complex::Complex32;

use super::super::deviation::{Level, Stretch, make_relative};
use crate::capture::SampleKind;
use crate::dsp::{BLOCK_MULTIPLE, ComplexSums, tone_blocks};

/// Blocks a bit that are aimed at: a block that holds a step must not reach the cells that are away from steps (with 8 it does,
/// wherever the clock is off by a trace). Fast bits make do with fewer.
const BLOCKS: f64 = 10.5;
const FEWEST_BLOCKS: f64 = 7.5;

/// A quick look at a stretch: the relative deviation of the carrier in blocks of samples.
pub(super) struct Look {
    pub values: Vec<Complex32>,
    /// Their running sums.
    pub sums: ComplexSums,
    /// Samples to a block.
    pub block: f64,
    /// The carrier's amplitude, and how far it is off its apparent frequency.
    pub level: Level,
}

impl Look {
    /// `None` where the samples do not show the carrier itself often enough for bits of `clocks` carrier periods.
    pub(super) fn of(stretch: &Stretch<'_>, clocks: u32) -> Option<Self> {
        if stretch.kind != SampleKind::Real || !stretch.carrier.has_exact_clock() {
            return None;
        }
        let bit = f64::from(clocks) * stretch.sample_rate_hz / stretch.carrier.true_hz;
        let multiples = (bit / BLOCKS / BLOCK_MULTIPLE as f64) as usize;
        let block = multiples.max(1) * BLOCK_MULTIPLE;
        if bit / (block as f64) < FEWEST_BLOCKS {
            return None;
        }
        let cycles_per_sample = stretch.carrier.apparent_hz / stretch.sample_rate_hz;
        let mut values = tone_blocks(stretch.samples, cycles_per_sample, block);
        let level = make_relative(&mut values, stretch.sample_rate_hz / block as f64)?;
        Some(Self {
            sums: ComplexSums::of(&values),
            values,
            block: block as f64,
            level,
        })
    }

    /// The time in blocks of a position in samples from the start of the stretch.
    pub(super) fn time(&self, position: f64) -> f64 {
        (position + 0.5) / self.block
    }

    /// The inverse of [`Self::time`].
    pub(super) fn position(&self, time: f64) -> f64 {
        time * self.block - 0.5
    }
}

/// The symbols of a look that are wholly in it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Run {
    /// Start of the first, in blocks.
    pub start: f64,
    /// Length of each, in blocks.
    pub period: f64,
    /// How many there are.
    pub symbols: usize,
    /// Which one of its cycle the first is.
    pub place: usize,
    /// How many symbols after the time that the cycles are counted from this cycle began.
    pub passed: f64,
}

impl Run {
    /// The run in `look` on a clock by which a cycle of `cycle` symbols begins at the time `zero`.
    pub(super) fn of(look: &Look, zero: f64, period: f64, cycle: usize) -> Option<Self> {
        let since = (-zero / period).ceil();
        let start = zero + since * period;
        let symbols = ((look.values.len() as f64 - start) / period).floor();
        let place = since.rem_euclid(cycle as f64);
        (symbols >= 1.0 && cycle > 0).then_some(Self {
            start,
            period,
            symbols: symbols as usize,
            place: place as usize,
            passed: since - place,
        })
    }
}
