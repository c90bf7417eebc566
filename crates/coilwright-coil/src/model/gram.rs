use super::matrix::Square;
use super::parameters::Model;
use super::power_sum::power_sums;
use super::{MAX_COLUMNS, MAX_FREE};
use num_complex::Complex64;

/// Inner products of a model's columns over one record length.
///
/// With `c = Re pⁿ` and `s = Im pⁿ`, a product of two columns is half the sum or difference of the power sums of
/// `pᵢpⱼ` and `pᵢp̄ⱼ`.
#[derive(Clone, Debug)]
pub(crate) struct Gram {
    /// Length of the records.
    pub(crate) samples: usize,
    /// Columns against columns.
    pub(crate) plain: Square<MAX_COLUMNS>,
    /// Columns weighted with `n` against columns; the baseline's rows are never used.
    pub(crate) once: [[f64; MAX_COLUMNS]; MAX_COLUMNS],
    /// Columns weighted with `n` against the same.
    pub(crate) twice: [[f64; MAX_COLUMNS]; MAX_COLUMNS],
}

impl Gram {
    /// Room for the products.
    pub(crate) const fn empty() -> Self {
        Self {
            samples: 0,
            plain: Square::zero(0),
            once: [[0.0; MAX_COLUMNS]; MAX_COLUMNS],
            twice: [[0.0; MAX_COLUMNS]; MAX_COLUMNS],
        }
    }

    /// Works out the products of a model's columns, in place: the matrices are too large to be moved about at every step of a fit.
    pub(crate) fn fill(&mut self, model: &Model, samples: usize) {
        self.samples = samples;
        self.plain.size = model.columns();
        let level = power_sums(Complex64::new(1.0, 0.0), samples);
        self.plain.rows[0][0] = level[0].re;
        if model.drifts() {
            (self.plain.rows[0][1], self.plain.rows[1][0]) = (level[1].re, level[1].re);
            self.plain.rows[1][1] = level[2].re;
        }
        for i in 0..model.components() {
            let sums = power_sums(model.ratio(i), samples);
            for (part, column) in [(0, model.column(i)), (1, model.column(i) + 1)] {
                let of = |k: usize| if part == 0 { sums[k].re } else { sums[k].im };
                self.set(0, column, [of(0), of(1), of(2)]);
                if model.drifts() {
                    // The slope is n itself; its third power sum would only serve a slope that is a parameter.
                    self.set(1, column, [of(1), of(2), 0.0]);
                }
            }
            for j in 0..=i {
                self.set_pair(model, i, j);
            }
        }
    }

    fn set_pair(&mut self, model: &Model, i: usize, j: usize) {
        let (first, second) = (model.ratio(i), model.ratio(j));
        let sum = power_sums(first * second, self.samples);
        let difference = power_sums(first * second.conj(), self.samples);
        let half = |f: &dyn Fn(usize) -> f64| [0.5 * f(0), 0.5 * f(1), 0.5 * f(2)];
        let (ci, cj) = (model.column(i), model.column(j));
        let (si, sj) = (ci + 1, cj + 1);
        self.set(ci, cj, half(&|k| sum[k].re + difference[k].re));
        self.set(si, sj, half(&|k| difference[k].re - sum[k].re));
        self.set(ci, sj, half(&|k| sum[k].im - difference[k].im));
        self.set(si, cj, half(&|k| sum[k].im + difference[k].im));
    }

    fn set(&mut self, row: usize, column: usize, values: [f64; 3]) {
        for (a, b) in [(row, column), (column, row)] {
            self.plain.rows[a][b] = values[0];
            self.once[a][b] = values[1];
            self.twice[a][b] = values[2];
        }
    }
}

/// The columns that a small change of each nonlinear parameter adds, as weights on the `n`-weighted columns.
pub(crate) type Slopes = [[f64; MAX_COLUMNS]; MAX_FREE];

/// The slopes of a model whose linear coefficients are `values`.
///
/// `∂/∂ω = n(−a s + b c)` and `∂/∂α = −n(a c + b s)`; a harmonic moves with its order.
pub(crate) fn slopes(model: &Model, values: &[f64; MAX_COLUMNS]) -> Slopes {
    let mut slopes = [[0.0; MAX_COLUMNS]; MAX_FREE];
    for mode in 0..model.modes.len() {
        let (c, s) = (model.column(mode), model.column(mode) + 1);
        slopes[2 * mode][c] = values[s];
        slopes[2 * mode][s] = -values[c];
        slopes[2 * mode + 1][c] = -values[c];
        slopes[2 * mode + 1][s] = -values[s];
    }
    if model.drive.is_some() {
        let drive = 2 * model.modes.len();
        for (line, parameters) in model.lines.iter().enumerate() {
            let c = model.column(model.modes.len() + line);
            slopes[drive][c] = parameters.rate * values[c + 1];
            slopes[drive][c + 1] = -parameters.rate * values[c];
        }
    }
    slopes
}
