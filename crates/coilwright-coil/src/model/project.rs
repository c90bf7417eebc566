use super::gram::{Gram, Slopes, slopes};
use super::matrix::{Factor, Square};
use super::parameters::Model;
use super::record::Record;
use super::{MAX_COLUMNS, MAX_FREE};
use num_complex::Complex64;

/// Linear coefficients of one record: baseline about the record's mean, then cosine and sine of each component.
pub(crate) type Coefficients = [f64; MAX_COLUMNS];

/// The squared residual of a model with its slope and curvature in the nonlinear parameters.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Evaluation {
    /// Sum of squared residuals over all records.
    pub(crate) squares: f64,
    /// Product of the residual with each slope column: half the descent direction.
    pub(crate) gradient: [f64; MAX_FREE],
    /// Products of the slope columns with each other after the linear columns are projected out.
    pub(crate) curvature: Square<MAX_FREE>,
}

/// Inner products that are kept from one record to the next of the same length.
#[derive(Debug)]
pub(crate) struct Workspace {
    gram: Gram,
    factor: Factor<MAX_COLUMNS>,
}

impl Default for Workspace {
    fn default() -> Self {
        Self {
            gram: Gram::empty(),
            factor: Factor::empty(),
        }
    }
}

impl Workspace {
    /// The squared residual with derivatives, or `None` if the columns are dependent.
    pub(crate) fn evaluate(&mut self, records: &[Record], model: &Model) -> Option<Evaluation> {
        self.gram.samples = 0;
        let mut total = Evaluation {
            squares: 0.0,
            gradient: [0.0; MAX_FREE],
            curvature: Square::zero(model.free()),
        };
        for record in records {
            self.prepare(model, record.samples.len())?;
            let Self { gram, factor } = &*self;
            let (right, weighted) = products(record, model);
            let along = factor.forward(&right);
            let values = factor.backward(&along);
            total.squares += (record.energy - along.iter().map(|v| v * v).sum::<f64>()).max(0.0);
            accumulate(
                &mut total,
                gram,
                factor,
                &slopes(model, &values),
                &values,
                &weighted,
            );
        }
        Some(total)
    }

    /// The linear coefficients of each record.
    pub(crate) fn coefficients(
        &mut self,
        records: &[Record],
        model: &Model,
    ) -> Option<Vec<Coefficients>> {
        self.gram.samples = 0;
        records
            .iter()
            .map(|record| {
                self.prepare(model, record.samples.len())?;
                Some(self.factor.solve(&products(record, model).0))
            })
            .collect()
    }

    /// Works out what depends on the length of the record, unless the record before had the same.
    fn prepare(&mut self, model: &Model, samples: usize) -> Option<()> {
        if self.gram.samples == samples {
            return Some(());
        }
        self.gram.fill(model, samples);
        self.factor.fill(&self.gram.plain)
    }
}

/// Products of the samples with the columns, and with the columns weighted by `n`.
pub(crate) fn products(record: &Record, model: &Model) -> (Coefficients, Coefficients) {
    let (mut plain, mut weighted) = ([0.0; MAX_COLUMNS], [0.0; MAX_COLUMNS]);
    if model.drifts() {
        plain[1] = record.slope;
    }
    for component in 0..model.components() {
        let [zeroth, first]: [Complex64; 2] = record.moments(model, component);
        let column = model.column(component);
        (plain[column], plain[column + 1]) = (zeroth.re, zeroth.im);
        (weighted[column], weighted[column + 1]) = (first.re, first.im);
    }
    (plain, weighted)
}

fn accumulate(
    total: &mut Evaluation,
    gram: &Gram,
    factor: &Factor<MAX_COLUMNS>,
    slopes: &Slopes,
    values: &Coefficients,
    weighted: &Coefficients,
) {
    let free = total.curvature.size;
    let columns = gram.plain.size;
    let dot = |a: &Coefficients, b: &Coefficients| {
        let pairs = a.iter().zip(b).take(columns);
        pairs.map(|(x, y)| x * y).sum::<f64>()
    };
    let mut along = [[0.0; MAX_COLUMNS]; MAX_FREE];
    let mut squared = [[0.0; MAX_COLUMNS]; MAX_FREE];
    for (parameter, slope) in slopes.iter().enumerate().take(free) {
        let mut against = [0.0; MAX_COLUMNS];
        for (k, &weight) in slope.iter().enumerate().take(columns) {
            if weight == 0.0 {
                continue;
            }
            for column in 0..columns {
                against[column] += weight * gram.once[k][column];
                squared[parameter][column] += weight * gram.twice[k][column];
            }
        }
        total.gradient[parameter] += dot(slope, weighted) - dot(&against, values);
        along[parameter] = factor.forward(&against);
    }
    for i in 0..free {
        for j in 0..free {
            total.curvature.rows[i][j] += dot(&squared[i], &slopes[j]) - dot(&along[i], &along[j]);
        }
    }
}
