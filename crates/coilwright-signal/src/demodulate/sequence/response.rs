use num_complex::Complex64;

use super::pulse::Pulse;
use crate::dsp::ComplexSums;

/// The window round a symbol in which its answer is measured, in bits from its start; a receiver that does not know of the
/// smearing puts the start too late.
const FIRST: f64 = -0.75;
const STEPS_PER_BIT: usize = 16;
const STEP: f64 = 1.0 / STEPS_PER_BIT as f64;
const POINTS: usize = 60;
/// How many symbols before one still reach into its window, and how many after it.
const EARLIER: usize = 6;
const LATER: usize = 3;
/// Symbols that are looked at: the pole is then known to a few per cent at 4 dB.
const SYMBOLS: usize = 600;

/// What one symbol leaves in a signal, from the mean over many of the signal times the symbol.
pub(super) struct Response {
    values: Vec<Complex64>,
    /// Mean product of symbols 0, 1, 2, … places apart.
    products: Vec<f64>,
    symbols: usize,
}

impl Response {
    /// The response to `symbols`, −1 to 1 each by what is known of it, that begin at `start` and last `period` values each.
    ///
    /// The means are those of the maximisation step of the EM algorithm: r(t) = ⟨c(k) z(k + t)⟩.
    pub(super) fn of(sums: &ComplexSums, start: f64, period: f64, symbols: &[f32]) -> Self {
        let reach = (POINTS as f64 * STEP + FIRST).ceil();
        let inside = |k: usize| {
            let place = start + k as f64 * period;
            place + FIRST * period >= 0.0 && place + reach * period <= sums.len() as f64
        };
        let from = symbols.len().saturating_sub(SYMBOLS) / 2;
        let used: Vec<usize> = (from..symbols.len().min(from + SYMBOLS))
            .filter(|&k| inside(k))
            .collect();
        let mut values = vec![Complex64::default(); POINTS];
        for &k in &used {
            let symbol = f64::from(symbols[k]);
            let first = start + (k as f64 + FIRST) * period;
            let mut before = sums.up_to(first);
            for (point, value) in values.iter_mut().enumerate() {
                let after = sums.up_to(first + (point + 1) as f64 * STEP * period);
                *value += symbol * (after - before);
                before = after;
            }
        }
        let count = used.len().max(1) as f64;
        for value in &mut values {
            *value /= count * STEP * period;
        }
        Self {
            values,
            products: products(symbols),
            symbols: used.len(),
        }
    }

    /// The noise power on each point, given that of one value of the signal.
    pub(super) fn noise_power(&self, value_power: f64, period: f64) -> f64 {
        value_power / (STEP * period * self.symbols.max(1) as f64)
    }

    /// The power of all points together.
    pub(super) fn power(&self) -> f64 {
        self.values.iter().map(Complex64::norm_sqr).sum()
    }

    /// That of noise alone, given its power on each.
    pub(super) fn noise(&self, power: f64) -> f64 {
        self.values.len() as f64 * power
    }

    pub(super) fn is_measured(&self) -> bool {
        self.symbols >= 32
    }

    /// What is left of the response without the part that a pulse explains which begins `late` bits after the start, and
    /// the size of that part.
    pub(super) fn without(&self, pulse: &Pulse, late: f64) -> (Vec<Complex64>, Complex64) {
        let first = FIRST + 0.5 * STEP - late - LATER as f64;
        let pulses = pulse.sampled(first, STEP, POINTS + (EARLIER + LATER) * STEPS_PER_BIT);
        let expected: Vec<Complex64> = (0..POINTS)
            .map(|point| {
                (0..=EARLIER + LATER)
                    .map(|shift| {
                        // Shift 0 is the symbol LATER places after this one.
                        let product = self.products[shift.abs_diff(LATER)];
                        pulses[point + shift * STEPS_PER_BIT] * product
                    })
                    .sum()
            })
            .collect();
        let power: f64 = expected.iter().map(Complex64::norm_sqr).sum();
        let common: Complex64 = expected
            .iter()
            .zip(&self.values)
            .map(|(expected, value)| expected.conj() * value)
            .sum();
        let size = common / power.max(1e-300);
        let rest = expected
            .iter()
            .zip(&self.values)
            .map(|(expected, value)| value - size * expected)
            .collect();
        (rest, size)
    }
}

/// Mean products of symbols 0, 1, … places apart; a symbol with itself gives 1.
fn products(symbols: &[f32]) -> Vec<f64> {
    (0..=EARLIER.max(LATER))
        .map(|lag| {
            if lag == 0 {
                return 1.0;
            }
            let pairs = symbols.iter().zip(symbols.iter().skip(lag));
            let sum: f64 = pairs.map(|(a, b)| f64::from(a * b)).sum();
            sum / symbols.len().saturating_sub(lag).max(1) as f64
        })
        .collect()
}
