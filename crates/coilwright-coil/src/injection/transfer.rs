use super::check_card;
use crate::FitError;
use num_complex::Complex64;
use rustfft::FftPlanner;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Longest block that is transformed at once.
const LONGEST_BLOCK: usize = 1 << 19;
/// Part of each end of a block over which it rises and falls.
const TAPER: f64 = 0.1;
/// Points over the band unless a resolution is asked for.
const POINTS: f64 = 400.0;
/// Fewest lines of the transform that make a point: the coherence of fewer says nothing.
const LEAST_LINES: f64 = 8.0;
/// Mean power of a point's lines over the strongest point's below which it holds no more than side lines of a tone elsewhere.
const LEAST_POWER: f64 = 1e-2;
/// Power of a line over the mean of all below which a point may end.
const WEAK: f64 = 0.05;

/// Where a transfer function is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TransferBand {
    /// Lowest frequency, hertz.
    pub low_hz: f64,
    /// Highest frequency, hertz.
    pub high_hz: f64,
    /// Width of a point, hertz; default: a 400th of the band. At least eight lines of the transform are taken.
    pub resolution_hz: Option<f64>,
}

/// The transfer function at one frequency.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TransferPoint {
    /// Mean frequency of the stimulus' power, hertz.
    pub frequency_hz: f64,
    /// `H₁ = S_xy/S_xx`: noise in the pickup averages out, noise in the stimulus channel makes it too small.
    pub response: Complex64,
    /// `γ² = |S_xy|²/(S_xx S_yy)`: the part of the pickup's power that follows the stimulus.
    pub coherence: f64,
    /// Standard deviation of each part of the response, `|H|√((1 − γ²)/2γ²m)` over m lines.
    pub std_dev: f64,
}

/// Returns the transfer function from a stimulus to a pickup that were recorded together, with its coherence.
///
/// Both channels have the same samples; any stimulus will do. The record is cut into blocks of at most 2¹⁹ samples, half
/// overlapping, and the spectra of neighbouring lines are added up. Points where the stimulus has no power are left out.
///
/// # Errors
///
/// [`FitError`]: channels of different length, samples that are no number, a band beyond the card or too narrow for the record.
///
/// # Source
///
/// Bendat and Piersol, Random Data, chapter 9, from memory: H₁, coherence and the random error of both.
pub fn transfer_function(
    stimulus: &[f32],
    pickup: &[f32],
    sample_rate_hz: f64,
    band: &TransferBand,
) -> Result<Vec<TransferPoint>, FitError> {
    check_card(band.low_hz, band.high_hz, sample_rate_hz)?;
    if stimulus.len() != pickup.len() {
        return Err(FitError::LengthsDiffer {
            frequencies: stimulus.len(),
            values: pickup.len(),
        });
    }
    for channel in [stimulus, pickup] {
        if let Some(index) = channel.iter().position(|x| !x.is_finite()) {
            return Err(FitError::PointNotFinite { index });
        }
    }
    let block = stimulus.len().min(LONGEST_BLOCK);
    let line_hz = sample_rate_hz / block.max(1) as f64;
    let wanted = band
        .resolution_hz
        .unwrap_or((band.high_hz - band.low_hz) / POINTS);
    let width_hz = wanted.max(LEAST_LINES * line_hz);
    let count = ((band.high_hz - band.low_hz) / width_hz).floor() as usize;
    if count < LEAST_LINES as usize {
        return Err(FitError::TooFewPoints {
            found: count,
            needed: LEAST_LINES as usize,
        });
    }
    let first = (band.low_hz / line_hz).ceil().max(1.0) as usize;
    let last = ((band.high_hz / line_hz) as usize).min(block / 2);
    let mut lines = vec![Sums::default(); last.saturating_sub(first)];
    let mut spectra = Spectra::new(block);
    for start in (0..=stimulus.len() - block).step_by((block / 2).max(1)) {
        let part = start..start + block;
        let (Some(x), Some(y)) = (stimulus.get(part.clone()), pickup.get(part)) else {
            continue;
        };
        spectra.transform(x, y);
        for (line, sum) in (first..).zip(&mut lines) {
            sum.add(line as f64 * line_hz, spectra.line(line));
        }
    }
    Ok(points(&grouped(&lines, (width_hz / line_hz) as usize)))
}

/// Neighbouring lines added up to points of about `width` lines.
///
/// A point ends where the stimulus is weak, so that a tone and the side lines of its window stay in one point; where it is
/// nowhere weak, half a width later.
fn grouped(lines: &[Sums], width: usize) -> Vec<Sums> {
    let mean = lines.iter().map(|line| line.stimulus).sum::<f64>() / lines.len().max(1) as f64;
    let mut groups = Vec::new();
    let (mut group, mut count) = (Sums::default(), 0);
    for line in lines {
        group.merge(line);
        count += 1;
        let weak = line.stimulus < WEAK * mean;
        if count >= width && (weak || 2 * count >= 3 * width) {
            groups.push(std::mem::take(&mut group));
            count = 0;
        }
    }
    groups
}

fn points(sums: &[Sums]) -> Vec<TransferPoint> {
    let density = |s: &Sums| s.stimulus / s.lines.max(1.0);
    let strongest = sums.iter().map(density).fold(0.0, f64::max);
    sums.iter()
        .filter(|s| density(s) > LEAST_POWER * strongest && s.pickup > 0.0)
        .map(Sums::point)
        .collect()
}

/// Power sums over the lines of one point.
#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    stimulus: f64,
    pickup: f64,
    cross: Complex64,
    frequency: f64,
    lines: f64,
}

impl Sums {
    fn add(&mut self, frequency_hz: f64, (x, y): (Complex64, Complex64)) {
        self.stimulus += x.norm_sqr();
        self.pickup += y.norm_sqr();
        self.cross += x.conj() * y;
        self.frequency += frequency_hz * x.norm_sqr();
        self.lines += 1.0;
    }

    fn merge(&mut self, other: &Self) {
        self.stimulus += other.stimulus;
        self.pickup += other.pickup;
        self.cross += other.cross;
        self.frequency += other.frequency;
        self.lines += other.lines;
    }

    fn point(&self) -> TransferPoint {
        let response = self.cross / self.stimulus;
        let coherence = (self.cross.norm_sqr() / (self.stimulus * self.pickup)).min(1.0);
        // Rounding of 32-bit samples leaves no less.
        let missing = (1.0 - coherence).max(1e-12);
        let lines = (self.lines - 1.0).max(1.0);
        TransferPoint {
            frequency_hz: self.frequency / self.stimulus,
            response,
            coherence,
            std_dev: response.norm() * (missing / (2.0 * coherence.max(1e-12) * lines)).sqrt(),
        }
    }
}

/// Both channels' spectra from one complex transform.
struct Spectra {
    fourier: std::sync::Arc<dyn rustfft::Fft<f64>>,
    window: Vec<f64>,
    both: Vec<Complex64>,
}

impl Spectra {
    fn new(block: usize) -> Self {
        let taper = (TAPER * block as f64).max(1.0);
        let window = (0..block).map(|n| {
            let edge = ((n as f64 + 0.5).min(block as f64 - n as f64 - 0.5) / taper).min(1.0);
            0.5 - 0.5 * (PI * edge).cos()
        });
        Self {
            fourier: FftPlanner::new().plan_fft_forward(block),
            window: window.collect(),
            both: vec![Complex64::default(); block],
        }
    }

    fn transform(&mut self, x: &[f32], y: &[f32]) {
        let means = [x, y].map(|c| c.iter().copied().map(f64::from).sum::<f64>() / c.len() as f64);
        for (value, ((x, y), weight)) in self.both.iter_mut().zip(x.iter().zip(y).zip(&self.window))
        {
            *value = Complex64::new(f64::from(*x) - means[0], f64::from(*y) - means[1]) * weight;
        }
        self.fourier.process(&mut self.both);
    }

    /// `X = (Z_k + Z*_{N−k})/2`, `Y = (Z_k − Z*_{N−k})/2i` for real x and y in `z = x + iy`.
    fn line(&self, line: usize) -> (Complex64, Complex64) {
        let at = |k: usize| self.both.get(k).copied().unwrap_or_default();
        let (one, other) = (at(line), at(self.both.len() - line).conj());
        (
            0.5 * (one + other),
            (one - other) * Complex64::new(0.0, -0.5),
        )
    }
}
