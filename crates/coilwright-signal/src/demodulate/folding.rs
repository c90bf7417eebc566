//! Keys that are too weak to be seen bit by bit: the stretch is added up at the length of the repeats first, on the
//! clock that the carrier gives, and only then searched, timed and decoded. n repeats gain 10 log10 n.

use num_complex::{Complex32, Complex64};

use super::axis;
use super::key::Symbols;
use super::model::BitTimes;
use super::rate::score;
use super::read::{Read, Reader};
use super::search::Found;
use super::signal::{Sampling, Signal};
use super::timing;
use crate::dsp::{ComplexSums, RunningSum};

/// Whole repeats of every frame that keys send without pause: 64 and 128 bits, twice for those that end inverted.
const CYCLE_BITS: usize = 256;
/// Cells that a bit is added up in for the search, and once its length is known.
const CELLS: usize = 16;
const FINE_CELLS: usize = 32;
/// With fewer cycles than this, adding up gains little.
const LEAST_CYCLES: f64 = 1.5;

/// So many times the values of the first look: 8 values a bit would lose 0.65 dB.
const FINER: usize = 4;
/// Once the bit length is known it is sampled as if it were this part of it: the usual sampling loses 0.14 dB.
const FINE_PART: f64 = 0.5;
/// How often the clock is brought to its place in what is added up on it.
const ROUNDS: usize = 3;

/// A stretch added up at one bit length.
struct Folded {
    /// Deviation, sum over the cycles over their number, with the first bit once more at the end. Cells of which the last
    /// cycle holds no more have less noise as well as less signal, as a sum of log-likelihood ratios would.
    cells: Vec<Complex32>,
    cycles: f64,
    /// Length of a bit in values of the signal.
    period: f64,
    /// Cells to a bit.
    cells_per_bit: usize,
}

impl Folded {
    /// What is added up of the signal from time `start` on.
    fn of(sums: &ComplexSums, start: f64, period: f64, cells_per_bit: usize) -> Option<Self> {
        let cell = period / cells_per_bit as f64;
        let whole = ((sums.len() as f64 - start) / cell).max(0.0) as usize;
        let count = CYCLE_BITS * cells_per_bit;
        let cycles = whole as f64 / count as f64;
        if cycles < LEAST_CYCLES {
            return None;
        }
        let mut added = vec![Complex32::default(); count];
        for (k, integral) in sums.cells(start, cell, whole).enumerate() {
            let mean = integral / (cell * cycles);
            added[k % count] += Complex32::new(mean.re as f32, mean.im as f32);
        }
        added.extend_from_within(..cells_per_bit);
        Some(Self {
            cells: added,
            cycles,
            period,
            cells_per_bit,
        })
    }

    /// Noise power of one cell, that of one value being given.
    fn noise_power(&self, of_value: f64) -> f64 {
        of_value * self.cells_per_bit as f64 / (self.period * self.cycles)
    }

    /// The symbols of a cycle, with both their parts.
    fn symbols(&self) -> Vec<Complex64> {
        let sums = ComplexSums::of(&self.cells);
        let halves: Vec<Complex64> = sums
            .cells(0.0, 0.5 * self.cells_per_bit as f64, 2 * CYCLE_BITS)
            .collect();
        let scale = 1.0 / self.cells_per_bit as f64;
        let pairs = halves.as_chunks::<2>().0.iter();
        pairs
            .map(|[first, second]| (first - second) * scale)
            .collect()
    }
}

/// The symbols of a cycle of a signal that was added up on their own clock.
struct Aligned {
    symbols: Vec<Complex64>,
    cycles: f64,
    /// Where the first one begins, in values of the signal.
    start: f64,
    axis_rad: f64,
}

impl Aligned {
    /// The symbols of `period` values each, along an axis that is known roughly.
    fn of(sums: &ComplexSums, period: f64, axis_rad: f64) -> Option<Self> {
        let (mut start, mut axis_rad) = (0.0, axis_rad);
        let mut folded = Folded::of(sums, start, period, FINE_CELLS)?;
        for _ in 0..ROUNDS {
            let along = RunningSum::of(&axis::project(&folded.cells, axis_rad));
            let late = timing::best_start(&along, FINE_CELLS as f64) / FINE_CELLS as f64;
            start = (start + late * period).rem_euclid(period);
            folded = Folded::of(sums, start, period, FINE_CELLS)?;
            axis_rad = axis::principal(folded.symbols().iter().map(|m| m * m).sum());
        }
        Some(Self {
            symbols: folded.symbols(),
            cycles: folded.cycles,
            start,
            axis_rad,
        })
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
            let period = f64::from(clocks) * signal.grid.rate_hz / clock_hz;
            let folded = Folded::of(&sums, 0.0, period, CELLS)?;
            let cells = ComplexSums::of(&folded.cells);
            let score = score(&cells, CELLS as f64, folded.noise_power(of_value))?;
            let found = Found {
                clocks,
                clock_hz,
                score,
            };
            score.is_modulated().then_some(found)
        });
        let found = tried.max_by(|a, b| a.score.statistic().total_cmp(&b.score.statistic()))?;
        let read = self.of_folded(found)?;
        read.has_frame().then_some(read)
    }

    /// The read of a bit length: added up on the clock itself, so that no cell holds a part of two half-bits.
    fn of_folded(&self, found: Found) -> Option<Read> {
        let clocks = f64::from(found.clocks);
        let finer = self.finer(Sampling {
            high_pass_hz: Sampling::of(self.stretch, clocks).high_pass_hz,
            ..Sampling::of(self.stretch, FINE_PART * clocks)
        })?;
        let both = finer.both_parts(self);
        let grid = both.grid;
        let sums = ComplexSums::of(&both.values);
        let period = clocks * grid.rate_hz / found.clock_hz;
        let axis_rad = axis::principal(found.score.second_moment);
        let Aligned {
            symbols,
            cycles,
            start,
            axis_rad,
        } = Aligned::of(&sums, period, axis_rad)?;
        let times = BitTimes {
            first: self.start as f64 + grid.position(start),
            period: period * grid.step,
        };
        let turn = Complex64::cis(-axis_rad);
        let symbols = Symbols {
            values: symbols.iter().map(|m| (m * turn).re as f32).collect(),
            noise_variance: both.noise_per_hz * grid.rate_hz / (2.0 * period * cycles),
            weighed: None,
            times,
            clocks_per_bit: found.clocks,
        };
        let mut key = symbols.read();
        // Bits stand for all their repeats.
        let added = (cycles * CYCLE_BITS as f64) as usize;
        key.frames.truncate(1);
        for read in &mut key.frames {
            read.span = times.span(0, added);
            key.repeats = added / read.frame.bits.len().max(1);
        }
        key.eb_n0_db -= 10.0 * cycles.log10();
        Some(Read {
            found,
            keys: vec![key],
            axis_rad,
            carrier_hz: found.clock_hz,
            collision: None,
            alone: None,
            baseband: None,
            weight: 0.0,
        })
    }
}
