use super::check_card;
use super::points::{grouped, points};
use super::spectra::Spectra;
use super::sums::Sums;
use crate::FitError;
use num_complex::Complex64;
use serde::{Deserialize, Serialize};

/// Longest block that is transformed at once, 2.7 s at 384 kS/s: a line of 0.4 Hz is far below any ring's width, and the block takes some 100 MB.
const LONGEST_BLOCK: usize = 1 << 20;
/// Points over the band unless a resolution is asked for.
const POINTS: f64 = 1000.0;
/// Fewest lines of the transform that make a point: the coherence of fewer says nothing.
const LEAST_LINES: f64 = 8.0;

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
/// 2²⁰ samples in half overlapping blocks, and the spectra of neighbouring lines are added up. Points where the stimulus has no power are left out.
/// [`TransferEstimator`] does the same without the whole record in memory.
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
    let mut estimator = TransferEstimator::new(sample_rate_hz, band, stimulus.len())?;
    estimator.add(stimulus, pickup)?;
    Ok(estimator.points())
}

/// A transfer function of a record that comes piece by piece.
pub struct TransferEstimator {
    samples: usize,
    taken: usize,
    step: usize,
    block: usize,
    /// What waits for a block to be full: stimulus and pickup.
    waiting: [Vec<f32>; 2],
    spectra: Spectra,
    first_line: usize,
    line_hz: f64,
    middle_hz: f64,
    /// Lines of the transform in a point.
    width: usize,
    lines: Vec<Sums>,
}

impl TransferEstimator {
    /// For a record of so many samples in each channel.
    ///
    /// # Errors
    ///
    /// [`FitError`]: a band beyond the card or too narrow for the record.
    ///
    /// ```
    /// use coilwright_coil::{TransferBand, TransferEstimator};
    /// let band = TransferBand { low_hz: 1e3, high_hz: 40e3, resolution_hz: None };
    /// let mut estimator = TransferEstimator::new(96e3, &band, 48_000)?;
    /// let mut state = 1_u32;
    /// for _ in 0..48 {
    ///     let piece: Vec<f32> = (0..1000)
    ///         .map(|_| {
    ///             state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
    ///             (state >> 8) as f32 / 16_777_216.0 - 0.5
    ///         })
    ///         .collect();
    ///     let half: Vec<f32> = piece.iter().map(|x| 0.5 * x).collect();
    ///     estimator.add(&piece, &half)?;
    /// }
    /// assert!(estimator.points().iter().all(|point| (point.response.re - 0.5).abs() < 1e-6));
    /// # Ok::<(), coilwright_coil::FitError>(())
    /// ```
    pub fn new(sample_rate_hz: f64, band: &TransferBand, samples: usize) -> Result<Self, FitError> {
        check_card(band.low_hz, band.high_hz, sample_rate_hz)?;
        let (block, step) = blocks(samples);
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
        let first_line = (band.low_hz / line_hz).ceil().max(1.0) as usize;
        let last = ((band.high_hz / line_hz) as usize).min(block / 2);
        Ok(Self {
            samples,
            taken: 0,
            step,
            block,
            waiting: [Vec::new(), Vec::new()],
            spectra: Spectra::new(block, step),
            first_line,
            line_hz,
            middle_hz: 0.5 * (band.low_hz + band.high_hz),
            width: (width_hz / line_hz) as usize,
            lines: vec![Sums::default(); last.saturating_sub(first_line)],
        })
    }

    /// Takes the next samples of both channels.
    ///
    /// # Errors
    ///
    /// [`FitError`]: more samples of one channel than of the other, or one that is no number.
    pub fn add(&mut self, stimulus: &[f32], pickup: &[f32]) -> Result<(), FitError> {
        if stimulus.len() != pickup.len() {
            return Err(FitError::LengthsDiffer {
                frequencies: stimulus.len(),
                values: pickup.len(),
            });
        }
        for channel in [stimulus, pickup] {
            if let Some(index) = channel.iter().position(|x| !x.is_finite()) {
                return Err(FitError::PointNotFinite {
                    index: self.taken + index,
                });
            }
        }
        self.taken += stimulus.len();
        let mut rest = [stimulus, pickup];
        while !rest[0].is_empty() {
            let room = self.block - self.waiting[0].len();
            for (waiting, rest) in self.waiting.iter_mut().zip(&mut rest) {
                let (now, later) = rest.split_at(room.min(rest.len()));
                waiting.extend_from_slice(now);
                *rest = later;
            }
            if self.waiting[0].len() == self.block {
                self.transform();
                for waiting in &mut self.waiting {
                    waiting.drain(..self.step);
                }
            }
        }
        Ok(())
    }

    /// Samples of each channel that were taken; the points are of the whole record only where they are as many as were announced.
    #[must_use]
    pub const fn taken(&self) -> usize {
        self.taken
    }

    /// Samples of each channel that were announced.
    #[must_use]
    pub const fn samples(&self) -> usize {
        self.samples
    }

    /// The transfer function of what was taken.
    #[must_use]
    pub fn points(&self) -> Vec<TransferPoint> {
        points(&grouped(&self.lines, self.width), self.middle_hz)
    }

    fn transform(&mut self) {
        let [x, y] = &self.waiting;
        self.spectra.transform(x, y);
        for (line, sum) in (self.first_line..).zip(&mut self.lines) {
            let distance_hz = line as f64 * self.line_hz - self.middle_hz;
            sum.add(distance_hz, self.spectra.line(line));
        }
    }
}

/// Length of the blocks and their distance: one that holds all, or as many as needed that overlap by half and reach the end.
fn blocks(samples: usize) -> (usize, usize) {
    if samples <= LONGEST_BLOCK {
        return (samples, samples);
    }
    let halves = samples.div_ceil(LONGEST_BLOCK / 2);
    (2 * (samples / halves), samples / halves)
}

impl std::fmt::Debug for TransferEstimator {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("TransferEstimator")
            .field("samples", &self.samples)
            .field("taken", &self.taken)
            .finish_non_exhaustive()
    }
}
