use super::MAX_COLUMNS;
use super::gram::Gram;
use super::matrix::Factor;
use super::moment::moment;
use super::parameters::{Model, Pole};
use super::power_sum::{Geometric, power_sums};
use super::project::{Coefficients, products};
use super::record::Record;
use num_complex::Complex64;

/// How much one more mode would explain, for many trial modes over the same model.
#[derive(Debug)]
pub(crate) struct Search<'a> {
    model: Model,
    /// Each component of the model and its ratio.
    components: Vec<(Pole, Complex64)>,
    records: Vec<Prepared<'a>>,
}

#[derive(Debug)]
struct Prepared<'a> {
    record: &'a Record,
    factor: Factor<MAX_COLUMNS>,
    along: Coefficients,
}

/// Decay in nepers after which a trial mode is cut off: 1.8 % of its first sample is left.
const REACH: f64 = 4.0;
/// Least part of a trial mode's energy that must lie outside the model.
const DEPENDENT: f64 = 1e-9;

impl<'a> Search<'a> {
    /// Projects the model out of the records; `None` if its columns are dependent.
    pub(crate) fn new(records: &'a [&'a Record], model: &Model) -> Option<Self> {
        let prepared = records.iter().map(|&record| {
            let factor = Gram::new(model, record.samples.len()).plain.factor()?;
            let along = factor.forward(&products(record, model).0);
            Some(Prepared {
                record,
                factor,
                along,
            })
        });
        let pole = |index| (model.pole(index), model.ratio(index));
        Some(Self {
            model: model.clone(),
            components: (0..model.components()).map(pole).collect(),
            records: prepared.collect::<Option<Vec<_>>>()?,
        })
    }

    /// Sum of squared residuals of the model itself.
    pub(crate) fn squares(&self) -> f64 {
        let left = |p: &Prepared<'_>| p.record.energy - p.along.iter().map(|v| v * v).sum::<f64>();
        self.records.iter().map(|p| left(p).max(0.0)).sum()
    }

    /// The squares that `pole` would take away from the residual, with its own amplitude and phase in each record.
    pub(crate) fn gain(&self, pole: Pole) -> f64 {
        let ratio = pole.ratio();
        let mut total = 0.0;
        let mut samples = 0;
        let mut inner = ([[0.0; 2]; 2], [[0.0; MAX_COLUMNS]; 2]);
        for prepared in &self.records {
            let head = prepared.record.head(pole.samples_to_decay(REACH));
            if head.len() != samples {
                samples = head.len();
                inner = self.inner(Geometric::new(pole, ratio, samples), samples);
            }
            let seen = moment(head, ratio);
            total += prepared.gain(&inner, [seen.re, seen.im]);
        }
        total
    }

    /// Products of the trial's cosine and sine with each other and with the model's columns.
    fn inner(&self, trial: Geometric, samples: usize) -> ([[f64; 2]; 2], [[f64; MAX_COLUMNS]; 2]) {
        let mut against = [[0.0; MAX_COLUMNS]; 2];
        if self.model.drifts() {
            let direct = power_sums(trial.ratio, samples);
            (against[0][1], against[1][1]) = (direct[1].re, direct[1].im);
        }
        let direct = trial.sum(samples);
        (against[0][0], against[1][0]) = (direct.re, direct.im);
        for (component, &(pole, ratio)) in self.components.iter().enumerate() {
            let other = Geometric::new(pole, ratio, samples);
            let sum = trial.times(other).sum(samples);
            let difference = trial.times(other.conj()).sum(samples);
            let c = self.model.column(component);
            let s = c + 1;
            against[0][c] = 0.5 * (sum.re + difference.re);
            against[1][s] = 0.5 * (difference.re - sum.re);
            against[0][s] = 0.5 * (sum.im - difference.im);
            against[1][c] = 0.5 * (sum.im + difference.im);
        }
        let twice = trial.times(trial).sum(samples);
        let level = trial.times(trial.conj()).sum(samples).re;
        let cross = 0.5 * twice.im;
        (
            [
                [0.5 * (level + twice.re), cross],
                [cross, 0.5 * (level - twice.re)],
            ],
            against,
        )
    }
}

impl Prepared<'_> {
    fn gain(&self, inner: &([[f64; 2]; 2], [[f64; MAX_COLUMNS]; 2]), seen: [f64; 2]) -> f64 {
        let (own, against) = inner;
        let along = [
            self.factor.forward(&against[0]),
            self.factor.forward(&against[1]),
        ];
        let dot =
            |a: &Coefficients, b: &Coefficients| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let outside = |i: usize, j: usize| own[i][j] - dot(&along[i], &along[j]);
        let (cc, cs, ss) = (outside(0, 0), outside(0, 1), outside(1, 1));
        let left = [
            seen[0] - dot(&along[0], &self.along),
            seen[1] - dot(&along[1], &self.along),
        ];
        let determinant = cc * ss - cs * cs;
        if determinant <= DEPENDENT * own[0][0] * own[1][1] {
            return 0.0;
        }
        (ss * left[0] * left[0] - 2.0 * cs * left[0] * left[1] + cc * left[1] * left[1])
            / determinant
    }
}
