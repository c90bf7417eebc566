use super::moment::moments;
use super::parameters::Model;
use super::project::Coefficients;
use super::sums::{dot, subtract_wave, total};
use num_complex::Complex64;

/// Decay in nepers after which a mode's samples no longer matter to the fit: 4e-18 of the first.
const FULL_DECAY: f64 = 40.0;

/// One record about its mean, with the sums that do not depend on the fit.
#[derive(Clone, Debug)]
pub(crate) struct Record {
    /// Samples less their mean.
    pub(crate) samples: Vec<f64>,
    /// The mean.
    pub(crate) offset: f64,
    /// Sum of the squared samples about their mean.
    pub(crate) energy: f64,
    /// Product of the samples about their mean with their index; their sum is zero.
    pub(crate) slope: f64,
}

impl Record {
    pub(crate) fn new(samples: &[f32]) -> Self {
        let mut samples: Vec<f64> = samples.iter().copied().map(f64::from).collect();
        let offset = total(&samples) / samples.len().max(1) as f64;
        for x in &mut samples {
            *x -= offset;
        }
        Self {
            offset,
            energy: dot(&samples, &samples),
            slope: slope(&samples),
            samples,
        }
    }

    /// `Σ x pⁿ` and `Σ x n pⁿ` for a component of the model.
    pub(crate) fn moments(&self, model: &Model, component: usize) -> [Complex64; 2] {
        let length = model
            .modes
            .get(component)
            .map_or(usize::MAX, |mode| mode.samples_to_decay(FULL_DECAY));
        moments(self.head(length), model.ratio(component))
    }

    /// The first samples, at most `length`.
    pub(crate) fn head(&self, length: usize) -> &[f64] {
        self.samples.get(..length).unwrap_or(&self.samples)
    }

    /// Samples less the model with these coefficients.
    pub(crate) fn residuals(&self, model: &Model, values: &Coefficients) -> Vec<f64> {
        let slope = if model.drifts() { values[1] } else { 0.0 };
        let samples = self.samples.iter().enumerate();
        let mut residuals: Vec<f64> = samples
            .map(|(n, x)| x - (values[0] + slope * n as f64))
            .collect();
        for component in 0..model.components() {
            let (column, ratio) = (model.column(component), model.ratio(component));
            let first = Complex64::new(values[column], -values[column + 1]);
            subtract_wave(&mut residuals, first, ratio);
        }
        residuals
    }
}

/// `Σ n x`: block by block, so that the sum of a block carries its first index.
fn slope(samples: &[f64]) -> f64 {
    const BLOCK: usize = 32;
    let ramp: [f64; BLOCK] = std::array::from_fn(|n| n as f64);
    let blocks = samples.chunks(BLOCK).enumerate();
    blocks
        .map(|(block, x)| dot(x, &ramp) + (block * BLOCK) as f64 * total(x))
        .sum()
}
