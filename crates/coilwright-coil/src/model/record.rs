use super::moment::moments;
use super::parameters::Model;
use super::project::Coefficients;
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
        let sum: f64 = samples.iter().copied().map(f64::from).sum();
        let offset = sum / samples.len().max(1) as f64;
        let samples: Vec<f64> = samples.iter().map(|&x| f64::from(x) - offset).collect();
        let (energy, slope) = sums(&samples);
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
        moments(self.head(length), model.ratio(component))
    }

    /// The first samples, at most `length`.
    pub(crate) fn head(&self, length: usize) -> &[f64] {
        self.samples.get(..length).unwrap_or(&self.samples)
    }

    /// Samples less the model with these coefficients.
    pub(crate) fn residuals(&self, model: &Model, values: &Coefficients) -> Vec<f64> {
        let mut level = values[0];
        let slope = if model.drifts() { values[1] } else { 0.0 };
        let mut residuals: Vec<f64> = Vec::with_capacity(self.samples.len());
        for x in &self.samples {
            residuals.push(x - level);
            level += slope;
        }
        for component in 0..model.components() {
            let (column, ratio) = (model.column(component), model.ratio(component));
            let mut phasor = Complex64::new(values[column], -values[column + 1]);
            for residual in &mut residuals {
                *residual -= phasor.re;
                phasor *= ratio;
            }
        }
        residuals
    }
}

/// `Σ x²` and `Σ n x`, in four lanes so that no addition waits for the one before.
fn sums(samples: &[f64]) -> (f64, f64) {
    let (mut energy, mut slope) = ([0.0; 4], [0.0; 4]);
    let (whole, rest) = samples.as_chunks::<4>();
    let mut first = 0.0;
    for chunk in whole {
        for lane in 0..4 {
            energy[lane] += chunk[lane] * chunk[lane];
            slope[lane] += chunk[lane] * (first + lane as f64);
        }
        first += 4.0;
    }
    for (lane, x) in rest.iter().enumerate() {
        energy[lane] += x * x;
        slope[lane] += x * (first + lane as f64);
    }
    (energy.iter().sum(), slope.iter().sum())
}
