use num_complex::Complex64;

use super::look::{Look, Run};

/// Cells of a symbol in which the deviation is compared.
const CELLS: usize = 8;
/// Those away from the steps at the ends and in the middle of a symbol: where a block holds a step, what the cells beside it get
/// depends on where in the block it is.
const AWAY_FROM_STEPS: [usize; 4] = [1, 2, 5, 6];

/// One symbol in so many tells when the symbols come.
const SYMBOLS_A_SLOPE: usize = 3;
/// Cycles that a template is the mean of, at least.
const FEWEST_CYCLES: f64 = 3.0;

/// The mean cycle of a key's frames, as it looks behind whatever ring, coil and filter lie between.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Template {
    cells: Vec<Complex64>,
    /// How the deviation changes from cell to cell.
    slopes: Vec<Complex64>,
}

/// How a look compares with a template.
pub(super) struct Comparison {
    /// By what the template must be multiplied to leave least.
    pub gain: Complex64,
    /// How much later than the template the look is, in symbols.
    pub delay: f64,
    /// Mean power of a cell that is left.
    pub left: f64,
    /// First half of each symbol less the second, halved.
    pub symbols: Vec<Complex64>,
}

impl Template {
    /// The mean cycle of a run, and the mean power of a cell that any other run of the same would leave; `None` where there are
    /// too few cycles.
    pub(super) fn learnt(look: &Look, run: Run, cycle: usize) -> Option<(Self, f64)> {
        let cycles = run.symbols as f64 / cycle as f64;
        if cycles < FEWEST_CYCLES {
            return None;
        }
        let template = Self::folded(look, run, cycle);
        // The mean follows the noise of its own run, and adds what is left of it to that of another.
        let others = (cycles + 1.0) / (cycles - 1.0);
        let left = others * template.compare(look, run).left;
        Some((template, left))
    }

    /// The mean over the cycles of `cycle` symbols in a run.
    fn folded(look: &Look, run: Run, cycle: usize) -> Self {
        let mut sums = vec![Complex64::default(); cycle * CELLS];
        let mut counts = vec![0.0_f64; cycle];
        let mut place = run.place;
        let mut cells = cells(look, run);
        for _ in 0..run.symbols {
            let of_symbol = &mut sums[place * CELLS..(place + 1) * CELLS];
            for (sum, cell) in of_symbol.iter_mut().zip(&mut cells) {
                *sum += cell;
            }
            counts[place] += 1.0;
            place = (place + 1) % cycle;
        }
        for (of_symbol, count) in sums.chunks_exact_mut(CELLS).zip(counts) {
            for sum in of_symbol {
                *sum /= count.max(1.0);
            }
        }
        let count = sums.len();
        let slope = |k: usize| 0.5 * (sums[(k + 1) % count] - sums[(k + count - 1) % count]);
        Self {
            slopes: (0..count).map(slope).collect(),
            cells: sums,
        }
    }

    /// Symbols of a cycle.
    pub(super) fn cycle(&self) -> usize {
        self.cells.len() / CELLS
    }

    /// The symbols of the template itself, from the start of its cycle on.
    pub(super) fn symbols(&self) -> impl Iterator<Item = Complex64> {
        self.cells.as_chunks::<CELLS>().0.iter().map(symbol)
    }

    /// Holds a run of symbols against the template: least squares of a factor, then of a delay by the first term of its series.
    pub(super) fn compare(&self, look: &Look, run: Run) -> Comparison {
        let mut moments = Moments::default();
        let mut symbols = Vec::with_capacity(run.symbols);
        let mut place = run.place;
        let mut cells = cells(look, run);
        for index in 0..run.symbols {
            let mut values = [Complex64::default(); CELLS];
            for (value, cell) in values.iter_mut().zip(&mut cells) {
                *value = cell;
            }
            let known = place * CELLS..(place + 1) * CELLS;
            moments.add(&values, &self.cells[known.clone()]);
            if index % SYMBOLS_A_SLOPE == 0 {
                let cells = &self.cells[known.clone()];
                moments.add_slopes(&values, cells, &self.slopes[known]);
            }
            symbols.push(symbol(&values));
            place = (place + 1) % self.cycle();
        }
        let count = (run.symbols * AWAY_FROM_STEPS.len()) as f64;
        Comparison {
            gain: moments.gain(),
            delay: moments.delay() / CELLS as f64,
            left: moments.left() / count,
            symbols,
        }
    }
}

/// Sums of products of a signal with a template, of the cells away from steps, and of all cells of some symbols with its slopes.
#[derive(Default)]
struct Moments {
    power: f64,
    along: Complex64,
    size: f64,
    along_slope: Complex64,
    cross: Complex64,
    slope_size: f64,
}

impl Moments {
    fn add(&mut self, values: &[Complex64; CELLS], cells: &[Complex64]) {
        for index in AWAY_FROM_STEPS {
            let (value, cell) = (values[index], cells[index]);
            self.power += value.norm_sqr();
            self.along += value * cell.conj();
            self.size += cell.norm_sqr();
        }
    }

    fn add_slopes(
        &mut self,
        values: &[Complex64; CELLS],
        cells: &[Complex64],
        slopes: &[Complex64],
    ) {
        for ((value, cell), slope) in values.iter().zip(cells).zip(slopes) {
            self.along_slope += value * slope.conj();
            self.cross += cell * slope.conj();
            self.slope_size += slope.norm_sqr();
        }
    }

    fn gain(&self) -> Complex64 {
        self.along / self.size.max(f64::MIN_POSITIVE)
    }

    /// What the template leaves in all.
    fn left(&self) -> f64 {
        (self.power - self.along.norm_sqr() / self.size.max(f64::MIN_POSITIVE)).max(0.0)
    }

    /// The delay in cells: v(t) = g T(t − d) is nearly g T − d g T'.
    fn delay(&self) -> f64 {
        let gain = self.gain();
        let change = (gain.conj() * (self.along_slope - gain * self.cross)).re;
        -change / (gain.norm_sqr() * self.slope_size).max(f64::MIN_POSITIVE)
    }
}

/// Cells of a symbol in a second.
pub(super) fn cells_per_second(bit_rate_hz: f64) -> f64 {
    CELLS as f64 * bit_rate_hz
}

/// The mean deviation in each cell of a run.
fn cells(look: &Look, run: Run) -> impl Iterator<Item = Complex64> {
    let length = run.period / CELLS as f64;
    let scale = 1.0 / length;
    let sums = look.sums.cells(run.start, length, run.symbols * CELLS);
    sums.map(move |sum| sum * scale)
}

fn symbol(cells: &[Complex64; CELLS]) -> Complex64 {
    let (first, second) = cells.split_at(CELLS / 2);
    let difference = first.iter().sum::<Complex64>() - second.iter().sum::<Complex64>();
    difference / CELLS as f64
}
