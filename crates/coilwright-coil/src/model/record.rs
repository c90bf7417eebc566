use super::MAX_COLUMNS;
use super::moment::moments;
use super::parameters::Model;
use super::project::Coefficients;
use num_complex::Complex64;

/// Decay in nepers after which a mode's samples no longer matter to the fit: 4e-18 of the first.
const FULL_DECAY: f64 = 40.0;

/// Samples of one record with the sums that do not depend on the fit.
#[derive(Clone, Debug)]
pub(crate) struct Record<'a> {
    pub(crate) samples: &'a [f32],
    /// Mean of the samples, taken out before any product is formed.
    pub(crate) offset: f64,
    /// Sum of the squared samples about their mean.
    pub(crate) energy: f64,
    /// Product of the samples about their mean with their index; their sum is zero.
    pub(crate) slope: f64,
}

impl<'a> Record<'a> {
    pub(crate) fn new(samples: &'a [f32]) -> Self {
        let offset =
            samples.iter().copied().map(f64::from).sum::<f64>() / samples.len().max(1) as f64;
        let (mut energy, mut slope) = (0.0, 0.0);
        for (n, &x) in samples.iter().enumerate() {
            let about = f64::from(x) - offset;
            energy += about * about;
            slope += about * n as f64;
        }
        Self {
            samples,
            offset,
            energy,
            slope,
        }
    }

    /// `Σ x pⁿ` and `Σ x n pⁿ` for a component of the model.
    pub(crate) fn moments(&self, model: &Model, component: usize) -> [Complex64; 2] {
        let length = model
            .modes
            .get(component)
            .map_or(usize::MAX, |mode| mode.samples_to_decay(FULL_DECAY));
        moments(self.head(length), self.offset, model.ratio(component))
    }

    /// The first samples, at most `length`.
    pub(crate) fn head(&self, length: usize) -> &'a [f32] {
        self.samples.get(..length).unwrap_or(self.samples)
    }

    /// Sum of squared differences between the samples and a model with these coefficients.
    pub(crate) fn residual_squares(&self, model: &Model, values: &Coefficients) -> f64 {
        let mut turning = [(Complex64::default(), Complex64::default()); MAX_COLUMNS / 2];
        let components = model.components().min(turning.len());
        for (index, (phasor, ratio)) in turning.iter_mut().enumerate().take(components) {
            *phasor = Complex64::new(
                values[model.column(index)],
                -values[model.column(index) + 1],
            );
            *ratio = model.ratio(index);
        }
        let mut level = self.offset + values[0];
        let slope = if model.drifts() { values[1] } else { 0.0 };
        let mut squares = 0.0;
        for &x in self.samples {
            let mut residual = f64::from(x) - level;
            level += slope;
            for (phasor, ratio) in turning.iter_mut().take(components) {
                residual -= phasor.re;
                *phasor *= *ratio;
            }
            squares += residual * residual;
        }
        squares
    }
}
