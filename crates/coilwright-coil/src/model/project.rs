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
#[derive(Debug, Default)]
pub(crate) struct Workspace {
    kept: Option<(Gram, Factor<MAX_COLUMNS>)>,
}

impl Workspace {
    /// The squared residual with derivatives, or `None` if the columns are dependent.
    pub(crate) fn evaluate(&mut self, records: &[Record], model: &Model) -> Option<Evaluation> {
        self.kept = None;
        let mut total = Evaluation {
            squares: 0.0,
            gradient: [0.0; MAX_FREE],
            curvature: Square::zero(model.free()),
        };
        for record in records {
            let (gram, factor) = self.prepare(model, record.samples.len())?;
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
        self.kept = None;
        records
            .iter()
            .map(|record| {
                let (_, factor) = self.prepare(model, record.samples.len())?;
                Some(factor.solve(&products(record, model).0))
            })
            .collect()
    }

    fn prepare(&mut self, model: &Model, samples: usize) -> Option<&(Gram, Factor<MAX_COLUMNS>)> {
        if self
            .kept
            .as_ref()
            .is_none_or(|(gram, _)| gram.samples != samples)
        {
            let gram = Gram::new(model, samples);
            let factor = gram.plain.factor()?;
            self.kept = Some((gram, factor));
        }
        self.kept.as_ref()
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
        let seen: f64 = slope.iter().zip(weighted).map(|(w, x)| w * x).sum();
        let explained: f64 = against.iter().zip(values).map(|(a, v)| a * v).sum();
        total.gradient[parameter] += seen - explained;
        along[parameter] = factor.forward(&against);
    }
    for i in 0..free {
        for j in 0..free {
            let whole: f64 = squared[i].iter().zip(&slopes[j]).map(|(s, w)| s * w).sum();
            let inside: f64 = along[i].iter().zip(&along[j]).map(|(a, b)| a * b).sum();
            total.curvature.rows[i][j] += whole - inside;
        }
    }
}
