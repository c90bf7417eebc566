use num_complex::{Complex32, Complex64};

use crate::carrier::solve;
use crate::dsp::ComplexSums;

/// Values a bit of the first key that the rest is given at.
pub(super) const PHASES: usize = 32;
/// Bits left out at each end, where the field settles and the high pass runs in and out.
const END_BITS: usize = 4;
/// What the answer of a key may depend on: a constant, six bits, and three products of neighbours, since a coil settles
/// faster loaded than not.
const REGRESSORS: usize = 10;
/// Kept from every mean, so that frames of equal bits do not make the equations singular.
const RIDGE: f64 = 1e-3;

/// What a key does not explain of a signal, sampled on the key's own bit clock.
pub(super) struct Rest {
    /// [`PHASES`] values for each bit.
    pub values: Vec<Complex32>,
    /// Time of the first value, in values of the signal.
    pub start: f64,
    /// Share of the noise that is left.
    pub noise_share: f64,
    /// The power that the key explains of a value, but for what it explains of the noise by chance.
    pub explained: f64,
}

impl Rest {
    /// The rest of the signal in `sums` without the key that sends `symbols` from `start` on, `period` values each.
    ///
    /// At each of the [`PHASES`] of a bit the signal is regressed on the key's symbols round it, by least squares: the mean
    /// answer of whatever ring, coil and filter lie between, without a model of them. At most `most` bits are looked at.
    pub(super) fn of(
        sums: &ComplexSums,
        start: f64,
        period: f64,
        symbols: &[f32],
        most: usize,
    ) -> Option<Self> {
        let last = ((sums.len() as f64 - start) / period).floor();
        let last = (last.max(0.0) as usize).min(symbols.len());
        let from = END_BITS + (-start / period).ceil().max(0.0) as usize;
        let last = last.checked_sub(END_BITS).filter(|&last| last > from)?;
        let bits = from..last.min(from.saturating_add(most));
        let rows: Vec<[f64; REGRESSORS]> = bits.clone().map(|k| regressors(symbols, k)).collect();
        let answers: Vec<[Complex64; PHASES]> = bits
            .clone()
            .map(|k| answer(sums, start + k as f64 * period, period))
            .collect();
        let inverse = inverse_moments(&rows)?;
        let mut products = [[Complex64::default(); PHASES]; REGRESSORS];
        for (row, answer) in rows.iter().zip(&answers) {
            for (weight, products) in row.iter().zip(&mut products) {
                for (product, value) in products.iter_mut().zip(answer) {
                    *product += weight * value;
                }
            }
        }
        let effect = |index: usize, phase: usize| -> Complex64 {
            let parts = inverse[index].iter().zip(&products);
            parts
                .map(|(inverse, products)| inverse * products[phase])
                .sum()
        };
        let effects: [[Complex64; PHASES]; REGRESSORS] =
            std::array::from_fn(|index| std::array::from_fn(|phase| effect(index, phase)));
        let mut values = Vec::with_capacity(rows.len() * PHASES);
        for (row, answer) in rows.iter().zip(&answers) {
            for phase in 0..PHASES {
                let parts = row.iter().zip(&effects);
                let explained: Complex64 =
                    parts.map(|(weight, effect)| weight * effect[phase]).sum();
                let rest = answer[phase] - explained;
                values.push(Complex32::new(rest.re as f32, rest.im as f32));
            }
        }
        let noise_share = 1.0 - REGRESSORS as f64 / rows.len() as f64;
        let before: f64 = answers.iter().flatten().map(Complex64::norm_sqr).sum();
        let after: f64 = values.iter().map(|z| f64::from(z.norm_sqr())).sum();
        Some(Self {
            explained: (before - after / noise_share) / values.len() as f64,
            values,
            start: start + bits.start as f64 * period,
            noise_share,
        })
    }
}

fn regressors(symbols: &[f32], k: usize) -> [f64; REGRESSORS] {
    let at = |shift: isize| {
        let index = k.checked_add_signed(shift);
        let symbol = index.and_then(|index| symbols.get(index));
        symbol.map_or(0.0, |symbol| f64::from(symbol.signum()))
    };
    [
        1.0,
        at(-3),
        at(-2),
        at(-1),
        at(0),
        at(1),
        at(2),
        at(0) * at(-1),
        at(0) * at(1),
        at(-1) * at(-2),
    ]
}

/// The means over the phases of the bit that begins at `start`.
fn answer(sums: &ComplexSums, start: f64, period: f64) -> [Complex64; PHASES] {
    let step = period / PHASES as f64;
    let mut cells = sums.cells(start, step, PHASES);
    std::array::from_fn(|_| cells.next().unwrap_or_default() / step)
}

fn inverse_moments(rows: &[[f64; REGRESSORS]]) -> Option<[[f64; REGRESSORS]; REGRESSORS]> {
    let mut moments = [[0.0; REGRESSORS]; REGRESSORS];
    for row in rows {
        for (moments, a) in moments.iter_mut().zip(row) {
            for (moment, b) in moments.iter_mut().zip(row) {
                *moment += a * b;
            }
        }
    }
    for (index, row) in moments.iter_mut().enumerate() {
        row[index] += RIDGE * rows.len() as f64;
    }
    solve(&moments, &[0.0; REGRESSORS]).map(|(_, inverse)| inverse)
}
