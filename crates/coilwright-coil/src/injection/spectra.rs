use num_complex::Complex64;
use rustfft::FftPlanner;
use std::f64::consts::PI;

/// Part of each end of a single block over which it rises and falls.
const TAPER: f64 = 0.1;

/// Both channels' spectra from one complex transform.
pub(super) struct Spectra {
    fourier: std::sync::Arc<dyn rustfft::Fft<f64>>,
    window: Vec<f64>,
    both: Vec<Complex64>,
}

impl Spectra {
    /// Blocks at half their length rise and fall as a sine, so that the squares of their windows add up to one; a single block is
    /// tapered at its ends as the sine's square, which falls off faster in frequency.
    pub(super) fn new(block: usize, step: usize) -> Self {
        let (part, power) = if step < block { (0.5, 1) } else { (TAPER, 2) };
        let taper = (part * block as f64).max(1.0);
        let window = (0..block).map(|n| {
            let edge = ((n as f64 + 0.5).min(block as f64 - n as f64 - 0.5) / taper).min(1.0);
            (0.5 * PI * edge).sin().powi(power)
        });
        Self {
            fourier: FftPlanner::new().plan_fft_forward(block),
            window: window.collect(),
            both: vec![Complex64::default(); block],
        }
    }

    pub(super) fn transform(&mut self, x: &[f32], y: &[f32]) {
        let means = [x, y].map(|c| c.iter().copied().map(f64::from).sum::<f64>() / c.len() as f64);
        for (value, ((x, y), weight)) in self.both.iter_mut().zip(x.iter().zip(y).zip(&self.window))
        {
            *value = Complex64::new(f64::from(*x) - means[0], f64::from(*y) - means[1]) * weight;
        }
        self.fourier.process(&mut self.both);
    }

    /// `X = (Z_k + Z*_{N−k})/2`, `Y = (Z_k − Z*_{N−k})/2i` for real x and y in `z = x + iy`.
    pub(super) fn line(&self, line: usize) -> (Complex64, Complex64) {
        let at = |k: usize| self.both.get(k).copied().unwrap_or_default();
        let (one, other) = (at(line), at(self.both.len() - line).conj());
        (
            0.5 * (one + other),
            (one - other) * Complex64::new(0.0, -0.5),
        )
    }
}
