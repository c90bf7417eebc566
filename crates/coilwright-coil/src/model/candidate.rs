use super::MAX_COLUMNS;
use super::gram::Gram;
use super::matrix::Factor;
use super::moment::{BLOCK, moment};
use super::parameters::{Model, Pole};
use super::power_sum::{Geometric, power_sums};
use super::project::{Coefficients, products};
use super::record::Record;
use num_complex::Complex64;

/// How much one more mode would explain, for many trial modes over the same model.
#[derive(Debug)]
pub(crate) struct Search<'a> {
    model: Model,
    /// Each component of the model over `samples`.
    components: Vec<Geometric>,
    samples: usize,
    records: Vec<Prepared<'a>>,
}

#[derive(Debug)]
struct Prepared<'a> {
    record: &'a Record,
    factor: Factor<MAX_COLUMNS>,
    along: Coefficients,
}

/// Products of a trial's cosine and sine.
#[derive(Debug, Default)]
struct Inner {
    /// With each other.
    own: [[f64; 2]; 2],
    /// With the model's columns.
    against: [Coefficients; 2],
}

/// Decay in nepers after which a trial mode is cut off: 1.8 % of its first sample is left.
const REACH: f64 = 4.0;
/// Least part of a trial mode's energy that must lie outside the model.
const DEPENDENT: f64 = 1e-9;

impl<'a> Search<'a> {
    /// Projects the model out of the records; `None` if its columns are dependent.
    pub(crate) fn new(records: &'a [&'a Record], model: &Model) -> Option<Self> {
        let mut search = Self {
            model: model.clone(),
            components: Vec::new(),
            samples: 0,
            records: Vec::with_capacity(records.len()),
        };
        let (mut gram, mut factor) = (Gram::empty(), Factor::empty());
        for &record in records {
            gram.fill(model, record.samples.len());
            factor.fill(&gram.plain)?;
            let along = factor.forward(&products(record, model).0);
            search.records.push(Prepared {
                record,
                factor,
                along,
            });
        }
        Some(search)
    }

    /// Sum of squared residuals of the model itself.
    pub(crate) fn squares(&self) -> f64 {
        let left = |p: &Prepared<'_>| p.record.energy - p.along.iter().map(|v| v * v).sum::<f64>();
        self.records.iter().map(|p| left(p).max(0.0)).sum()
    }

    /// The squares that `pole` would take away from the residual, with its own amplitude and phase in each record.
    pub(crate) fn gain(&mut self, pole: Pole) -> f64 {
        let ratio = pole.ratio();
        let reach = pole.samples_to_decay(REACH).next_multiple_of(BLOCK);
        let mut total = 0.0;
        let mut looked_at = 0;
        let mut inner = Inner::default();
        for index in 0..self.records.len() {
            let head = self.records[index].record.head(reach);
            let (seen, last) = moment(head, ratio);
            if head.len() != looked_at {
                looked_at = head.len();
                self.count(looked_at);
                inner.fill(self, Geometric { ratio, last });
            }
            total += self.records[index].gain(&inner, seen);
        }
        total
    }

    /// Sets the number of samples over which the components are summed; neighbouring trials often share it.
    fn count(&mut self, samples: usize) {
        if self.samples != samples {
            let geometric = |index| Geometric::new(self.model.pole(index), samples);
            self.components = (0..self.model.components()).map(geometric).collect();
            self.samples = samples;
        }
    }
}

impl Inner {
    /// Products of the trial's cosine and sine with each other and with the model's columns.
    fn fill(&mut self, search: &Search<'_>, trial: Geometric) {
        let samples = search.samples;
        let against = &mut self.against;
        if search.model.drifts() {
            let direct = power_sums(trial.ratio, samples);
            (against[0][1], against[1][1]) = (direct[1].re, direct[1].im);
        }
        let direct = trial.sum(samples);
        (against[0][0], against[1][0]) = (direct.re, direct.im);
        for (component, &other) in search.components.iter().enumerate() {
            let sum = trial.times(other).sum(samples);
            let difference = trial.times(other.conj()).sum(samples);
            let c = search.model.column(component);
            let s = c + 1;
            against[0][c] = 0.5 * (sum.re + difference.re);
            against[1][s] = 0.5 * (difference.re - sum.re);
            against[0][s] = 0.5 * (sum.im - difference.im);
            against[1][c] = 0.5 * (sum.im + difference.im);
        }
        let twice = trial.times(trial).sum(samples);
        let level = trial.times(trial.conj()).sum(samples).re;
        let cross = 0.5 * twice.im;
        self.own = [
            [0.5 * (level + twice.re), cross],
            [cross, 0.5 * (level - twice.re)],
        ];
    }
}

impl Prepared<'_> {
    fn gain(&self, inner: &Inner, seen: Complex64) -> f64 {
        let Inner { own, against } = inner;
        let columns = self.factor.size;
        let cosine = self.factor.forward(&against[0]);
        let sine = self.factor.forward(&against[1]);
        let dot = |a: &Coefficients, b: &Coefficients| {
            let pairs = a.iter().zip(b).take(columns);
            pairs.map(|(x, y)| x * y).sum::<f64>()
        };
        let cc = own[0][0] - dot(&cosine, &cosine);
        let cs = own[0][1] - dot(&cosine, &sine);
        let ss = own[1][1] - dot(&sine, &sine);
        let left = [
            seen.re - dot(&cosine, &self.along),
            seen.im - dot(&sine, &self.along),
        ];
        let determinant = cc * ss - cs * cs;
        if determinant <= DEPENDENT * own[0][0] * own[1][1] {
            return 0.0;
        }
        (ss * left[0] * left[0] - 2.0 * cs * left[0] * left[1] + cc * left[1] * left[1])
            / determinant
    }
}
