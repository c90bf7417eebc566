use super::check_card;
use super::spectra::Spectra;
use super::sums::Sums;
use crate::FitError;
use num_complex::Complex64;
use serde::{Deserialize, Serialize};

/// Longest block that is transformed at once: 11 s at 384 kS/s.
const LONGEST_BLOCK: usize = 1 << 22;
/// Points over the band unless a resolution is asked for.
const POINTS: f64 = 1000.0;
/// Fewest lines of the transform that make a point: the coherence of fewer says nothing.
const LEAST_LINES: f64 = 8.0;
/// Fewest lines that the noise is taken from: weights that are themselves known to 16 % cost 3 % of the variance.
const NOISE_LINES: f64 = 40.0;
/// Mean power of a point's lines over the strongest point's below which it is left out.
const LEAST_POWER: f64 = 1e-2;
/// The same over the strongest within so many points: what is weaker are side lines of a tone there, which carry the tone's response
/// (a tenth of its window tapered, a line three off has 1 % of its power).
const STRAY: f64 = 0.1;
const ABOUT: usize = 8;
/// Power of a line over the mean of all below which a point may end.
const WEAK: f64 = 0.05;

/// Where a transfer function is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TransferBand {
    /// Lowest frequency, hertz.
    pub low_hz: f64,
    /// Highest frequency, hertz.
    pub high_hz: f64,
    /// Width of a point, hertz; default: a 1000th of the band. At least eight lines of the transform are taken.
    pub resolution_hz: Option<f64>,
}

/// The transfer function at one frequency.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TransferPoint {
    /// Mean frequency of the stimulus' power, hertz.
    pub frequency_hz: f64,
    /// Standard deviation of that power over frequency, hertz: the response is the mean over so much of the curve.
    pub spread_hz: f64,
    /// `H₁ = S_xy/S_xx`: noise in the pickup averages out, noise in the stimulus channel makes it too small.
    pub response: Complex64,
    /// `γ² = |S_xy|²/(S_xx S_yy)`: the part of the pickup's power that follows the stimulus.
    pub coherence: f64,
    /// Standard deviation of each part of the response, from what a response that is straight over the point's lines leaves.
    pub std_dev: f64,
}

/// Returns the transfer function from a stimulus to a pickup that were recorded together, with its coherence.
///
/// Both channels have the same samples; any stimulus will do. The record is transformed whole, one of more than
/// 2²² samples in half overlapping blocks, and the spectra of neighbouring lines are added up. Points where the stimulus has no power are left out.
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
    let (block, step) = blocks(stimulus.len());
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
    let middle_hz = 0.5 * (band.low_hz + band.high_hz);
    let mut lines = vec![Sums::default(); last.saturating_sub(first)];
    let mut spectra = Spectra::new(block, step);
    for start in (0..=stimulus.len() - block).step_by(step.max(1)) {
        let part = start..start + block;
        let (Some(x), Some(y)) = (stimulus.get(part.clone()), pickup.get(part)) else {
            continue;
        };
        spectra.transform(x, y);
        for (line, sum) in (first..).zip(&mut lines) {
            sum.add(line as f64 * line_hz - middle_hz, spectra.line(line));
        }
    }
    Ok(points(
        &grouped(&lines, (width_hz / line_hz) as usize),
        middle_hz,
    ))
}

/// Length of the blocks and their distance: one that holds all, or as many as needed that overlap by half and reach the end.
fn blocks(samples: usize) -> (usize, usize) {
    if samples <= LONGEST_BLOCK {
        return (samples, samples);
    }
    let halves = samples.div_ceil(LONGEST_BLOCK / 2);
    (2 * (samples / halves), samples / halves)
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

fn points(sums: &[Sums], middle_hz: f64) -> Vec<TransferPoint> {
    let densities: Vec<f64> = sums.iter().map(Sums::density).collect();
    let greatest = |densities: &[f64]| densities.iter().copied().fold(0.0, f64::max);
    let strongest = greatest(&densities);
    let kept: Vec<&Sums> = sums
        .iter()
        .enumerate()
        .filter(|(n, s)| {
            let about = n.saturating_sub(ABOUT)..(n + ABOUT + 1).min(densities.len());
            let near = densities.get(about).map_or(0.0, greatest);
            s.heard() && s.density() > (STRAY * near).max(LEAST_POWER * strongest)
        })
        .map(|(_, s)| s)
        .collect();
    (0..kept.len())
        .map(|n| kept[n].point(middle_hz, noise_about(&kept, n)))
        .collect()
}

/// Power of the noise in a line about a point: over so many neighbours that it is known well enough to weigh the point by.
fn noise_about(kept: &[&Sums], point: usize) -> f64 {
    let (mut first, mut last) = (point, point + 1);
    loop {
        let about = kept.get(first..last).unwrap_or_default();
        let (power, lines) = about
            .iter()
            .map(|sums| sums.noise())
            .fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
        if lines >= NOISE_LINES || last - first >= kept.len() {
            return power / lines.max(1.0);
        }
        (first, last) = (first.saturating_sub(1), (last + 1).min(kept.len()));
    }
}
