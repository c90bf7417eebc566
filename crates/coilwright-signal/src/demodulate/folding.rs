//! Keys that are too weak to be seen bit by bit: the stretch is added up at the length of the repeats first, on the
//! clock that the carrier gives, and only then searched, timed and decoded. n repeats gain 10 log10 n.

use num_complex::Complex32;

use super::axis;
use super::key::Symbols;
use super::model::BitTimes;
use super::rate::{ComplexSums, score};
use super::read::{Read, Reader};
use super::search::Found;
use super::signal::{Sampling, Signal};
use super::timing;
use crate::Span;
use crate::dsp::RunningSum;

/// Whole repeats of every frame that keys send without pause: 64 and 128 bits, twice for those that end inverted.
const CYCLE_BITS: usize = 256;
/// Cells that a bit is added up in.
const CELLS: usize = 16;
/// With fewer cycles than this, adding up gains little.
const LEAST_CYCLES: usize = 2;

/// So many times the values of the first look: 8 values a bit would lose 0.65 dB.
const FINER: usize = 4;

/// A stretch added up at one bit length.
struct Folded {
    /// Deviation, mean over the cycles, with the first bit once more at the end.
    cells: Vec<Complex32>,
    cycles: usize,
    /// Length of a bit in values of the signal.
    period: f64,
}

impl Folded {
    fn of(sums: &ComplexSums, period: f64) -> Option<Self> {
        let cycles = (sums.len() as f64 / (CYCLE_BITS as f64 * period)) as usize;
        if cycles < LEAST_CYCLES {
            return None;
        }
        let cell = period / CELLS as f64;
        let count = CYCLE_BITS * CELLS;
        let mut added = vec![Complex32::default(); count];
        for (k, integral) in sums.cells(cell, cycles * count).enumerate() {
            let mean = integral / (cell * cycles as f64);
            added[k % count] += Complex32::new(mean.re as f32, mean.im as f32);
        }
        added.extend_from_within(..CELLS);
        Some(Self {
            cells: added,
            cycles,
            period,
        })
    }

    /// Noise power of one cell, that of one value being given.
    fn noise_power(&self, of_value: f64) -> f64 {
        of_value * CELLS as f64 / (self.period * self.cycles as f64)
    }
}

impl Reader<'_> {
    /// The read at the one of the usual bit lengths that fits the added-up stretch best, if that shows a frame; `None`
    /// where the samples do not show the carrier, which gives the clock.
    pub(super) fn read_folded(&self) -> Option<Read> {
        if !self.stretch.carrier.has_exact_clock() {
            return None;
        }
        let clocks_per_bit = &self.options.clocks_per_bit;
        let clock_hz = self.true_hz;
        let signal = &Signal::of(
            self.deviation,
            self.stretch,
            Sampling {
                factor: FINER * self.sampling.factor,
                ..self.sampling
            },
            &self.bit_rates_hz(),
        );
        let sums = ComplexSums::of(&signal.values);
        let of_value = signal.noise_per_hz * signal.grid.rate_hz;
        let tried = clocks_per_bit.iter().filter_map(|&clocks| {
            let folded = Folded::of(&sums, f64::from(clocks) * signal.grid.rate_hz / clock_hz)?;
            let cells = ComplexSums::of(&folded.cells);
            let score = score(&cells, CELLS as f64, folded.noise_power(of_value))?;
            let found = Found {
                clocks,
                clock_hz,
                score,
            };
            score.is_modulated().then_some((found, folded))
        });
        let (found, folded) = tried.max_by(|(a, _), (b, _)| {
            let statistic = |found: &Found| found.score.statistic();
            statistic(a).total_cmp(&statistic(b))
        })?;
        let read = self.of_folded(signal, found, &folded);
        read.has_frame().then_some(read)
    }

    fn of_folded(&self, signal: &Signal, found: Found, folded: &Folded) -> Read {
        let axis_rad = axis::principal(found.score.second_moment);
        let sums = RunningSum::of(&axis::project(&folded.cells, axis_rad));
        let start = timing::best_start(&sums, CELLS as f64);
        let bits = folded.period / CELLS as f64;
        let grid = &signal.grid;
        let noise_variance =
            signal.noise_per_hz * grid.rate_hz / (2.0 * folded.period * folded.cycles as f64);
        let first = self.start as f64 + grid.position(start * bits);
        let period = folded.period * grid.step;
        let symbols = Symbols {
            values: timing::symbols(&sums, start, CELLS as f64)
                .take(CYCLE_BITS)
                .map(|m| m as f32)
                .collect(),
            noise_variance,
            weighed: None,
            times: BitTimes { first, period },
            clocks_per_bit: found.clocks,
        };
        let mut key = symbols.read();
        // Bits stand for all their repeats.
        let whole = first + (folded.cycles * CYCLE_BITS) as f64 * period;
        let span = Span::new(first.round().max(0.0) as u64, whole.round().max(0.0) as u64);
        key.frames.truncate(1);
        for read in &mut key.frames {
            read.span = span;
        }
        key.repeats *= folded.cycles;
        key.eb_n0_db -= 10.0 * (folded.cycles as f64).log10();
        Read {
            found,
            keys: vec![key],
            axis_rad,
            carrier_hz: found.clock_hz,
            collision: None,
            alone: None,
            baseband: None,
            weight: 0.0,
        }
    }
}
