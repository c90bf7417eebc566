use std::f64::consts::TAU;

use num_complex::Complex64;
use serde::Serialize;

use super::linear::solve;
use super::spectrum::Spectrum;
use crate::Estimate;

/// Fewer samples than this do not make a tone.
const MIN_SAMPLES: usize = 16;
const MAX_ITERATIONS: usize = 12;
/// A step this small, in cycles over the whole record, no longer matters: it lies below the bound at 120 dB.
const CONVERGED_CYCLES: f64 = 1e-8;

/// A sinusoid in noise.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Tone {
    /// Frequency.
    pub frequency_hz: Estimate,
    /// Peak amplitude, in the unit of the samples.
    pub amplitude: Estimate,
    /// Phase of the cosine at the first sample, −π to π.
    pub phase_rad: f64,
    /// Power of the tone over the power of everything else but offset and slope, in decibels.
    pub snr_db: f64,
}

/// Returns the strongest tone with a frequency inside `band_hz`, by least squares.
///
/// Start: the peak of a Hann-windowed Fourier transform, interpolated. Then Gauss–Newton on
/// a cos ωt + b sin ωt + c + dt, real as it is, so that neither the mirror image nor an offset biases it; in white
/// noise this is the maximum likelihood estimate and reaches the Cramér–Rao bound,
/// var f = 6 σ² fs² / (π² A² N (N² − 1)) (Rife and Boorstyn 1974 for the complex tone; twice that for the real one).
/// The standard deviations come from the residual, so whatever else is in the record widens them.
///
/// `None` when there are fewer than 16 samples, nothing lies in the band, or a value is not finite.
///
/// ```
/// use coilwright_signal::carrier::estimate_tone;
/// let samples: Vec<f32> = (0..2000).map(|n| 0.5 * (std::f32::consts::TAU * 0.1251 * n as f32).cos()).collect();
/// let tone = estimate_tone(&samples, 1e6, (100e3, 150e3)).unwrap();
/// assert!((tone.frequency_hz.value - 125_100.0).abs() < 0.1);
/// ```
#[must_use]
pub fn estimate_tone(samples: &[f32], sample_rate_hz: f64, band_hz: (f64, f64)) -> Option<Tone> {
    if samples.len() < MIN_SAMPLES {
        return None;
    }
    let spectrum = Spectrum::of(samples);
    let peak = spectrum.strongest(band_hz.0 / sample_rate_hz, band_hz.1 / sample_rate_hz)?;
    let fit = Fit::from(samples, spectrum.interpolate(peak))?;
    Some(fit.tone(samples.len(), sample_rate_hz))
}

/// The least-squares fit; time runs from −1/2 to 1/2 over the record.
struct Fit {
    cycles_per_sample: f64,
    /// a, b, c, d and the last frequency step.
    parameters: [f64; 5],
    inverse: [[f64; 5]; 5],
    residual_power: f64,
}

impl Fit {
    fn from(samples: &[f32], start: f64) -> Option<Self> {
        let length = samples.len() as f64;
        let mut frequency = start;
        let mut ab = None;
        for iteration in 0..MAX_ITERATIONS {
            let (a, b) = match ab {
                Some(known) => known,
                None => linear_part(samples, frequency)?,
            };
            let (parameters, inverse) = step(samples, frequency, a, b)?;
            let cycles = parameters[4] / TAU;
            if !cycles.is_finite() || cycles.abs() > 2.0 {
                return None;
            }
            ab = Some((parameters[0], parameters[1]));
            if cycles.abs() < CONVERGED_CYCLES || iteration + 1 == MAX_ITERATIONS {
                let residual_power = residual_power(samples, frequency, (a, b), &parameters);
                frequency += cycles / length;
                return Some(Self {
                    cycles_per_sample: frequency,
                    parameters,
                    inverse,
                    residual_power,
                });
            }
            frequency += cycles / length;
        }
        None
    }

    fn tone(&self, length: usize, sample_rate_hz: f64) -> Tone {
        let [a, b, ..] = self.parameters;
        let amplitude = a.hypot(b);
        let variance = self.residual_power * length as f64 / (length as f64 - 5.0);
        let frequency_scale = sample_rate_hz / (TAU * length as f64);
        let amplitude_variance = (a * a * self.inverse[0][0]
            + 2.0 * a * b * self.inverse[0][1]
            + b * b * self.inverse[1][1])
            / (amplitude * amplitude);
        let to_first = -TAU * self.cycles_per_sample * (length as f64 - 1.0) / 2.0;
        Tone {
            frequency_hz: Estimate::new(
                self.cycles_per_sample * sample_rate_hz,
                (variance * self.inverse[4][4]).sqrt() * frequency_scale,
            ),
            amplitude: Estimate::new(amplitude, (variance * amplitude_variance).sqrt()),
            phase_rad: Complex64::from_polar(1.0, (-b).atan2(a) + to_first).arg(),
            snr_db: 10.0 * (amplitude * amplitude / 2.0 / self.residual_power.max(1e-300)).log10(),
        }
    }
}

/// Amplitudes of cosine and sine at a fixed frequency, with offset and slope beside them.
fn linear_part(samples: &[f32], frequency: f64) -> Option<(f64, f64)> {
    let mut matrix = [[0.0; 4]; 4];
    let mut right = [0.0; 4];
    for_each(samples, frequency, |x, t, cos, sin| {
        accumulate(&mut matrix, &mut right, [cos, sin, 1.0, t], x);
    });
    let ([a, b, ..], _) = solve(&matrix, &right)?;
    Some((a, b))
}

/// One Gauss–Newton step: the parameters and the inverse of the normal matrix.
fn step(samples: &[f32], frequency: f64, a: f64, b: f64) -> Option<([f64; 5], [[f64; 5]; 5])> {
    let mut matrix = [[0.0; 5]; 5];
    let mut right = [0.0; 5];
    for_each(samples, frequency, |x, t, cos, sin| {
        accumulate(
            &mut matrix,
            &mut right,
            [cos, sin, 1.0, t, t * (b * cos - a * sin)],
            x,
        );
    });
    solve(&matrix, &right)
}

/// The mean square of what the linearised model leaves.
fn residual_power(
    samples: &[f32],
    frequency: f64,
    (a, b): (f64, f64),
    parameters: &[f64; 5],
) -> f64 {
    let [pa, pb, pc, pd, pw] = parameters;
    let mut squares = 0.0;
    for_each(samples, frequency, |x, t, cos, sin| {
        let residual = x - (pa * cos + pb * sin + pc + pd * t + pw * t * (b * cos - a * sin));
        squares += residual * residual;
    });
    squares / samples.len() as f64
}

/// Calls `visit(x, t, cos ωn, sin ωn)` with t from −1/2 to 1/2 and the phase 0 in the middle.
fn for_each(samples: &[f32], frequency: f64, mut visit: impl FnMut(f64, f64, f64, f64)) {
    /// The rotation is set afresh this often, so that rounding does not build up.
    const BLOCK: usize = 512;
    let length = samples.len() as f64;
    let centre = (length - 1.0) / 2.0;
    let turn = Complex64::cis(TAU * frequency);
    for (block, values) in samples.chunks(BLOCK).enumerate() {
        let start = (block * BLOCK) as f64 - centre;
        let mut phasor = Complex64::cis(TAU * (frequency * start).fract());
        for (n, &x) in values.iter().enumerate() {
            visit(
                f64::from(x),
                (start + n as f64) / length,
                phasor.re,
                phasor.im,
            );
            phasor *= turn;
        }
    }
}

fn accumulate<const N: usize>(
    matrix: &mut [[f64; N]; N],
    right: &mut [f64; N],
    basis: [f64; N],
    x: f64,
) {
    for i in 0..N {
        for j in 0..=i {
            matrix[i][j] += basis[i] * basis[j];
        }
        right[i] += basis[i] * x;
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]
mod tests {
    use super::*;

    fn record(length: usize, frequency: f64, phase: f64) -> Vec<f32> {
        (0..length)
            .map(|n| {
                (0.7 * (TAU * frequency * n as f64 + phase).cos() + 0.2 + 1e-5 * n as f64) as f32
            })
            .collect()
    }

    #[test]
    fn a_clean_tone_with_offset_and_slope_is_found_to_single_precision() {
        for (length, frequency, phase) in
            [(64, 0.123, 0.4), (1000, 0.130_07, -2.9), (4097, 0.067, 3.0)]
        {
            let tone =
                estimate_tone(&record(length, frequency, phase), 1e6, (50e3, 150e3)).unwrap();
            let tolerance_hz = 1e6 * 1e-6 / length as f64;
            assert!(
                (tone.frequency_hz.value - frequency * 1e6).abs() < tolerance_hz.max(1e-5),
                "{tone:?}"
            );
            assert!((tone.amplitude.value - 0.7).abs() < 1e-6, "{tone:?}");
            assert!((tone.phase_rad - phase).abs() < 1e-5, "{tone:?}");
        }
    }

    #[test]
    fn hopeless_input_gives_none() {
        assert_eq!(estimate_tone(&[0.0; 8], 1e6, (1e5, 1.5e5)), None);
        assert_eq!(estimate_tone(&[f32::NAN; 100], 1e6, (1e5, 1.5e5)), None);
        assert_eq!(estimate_tone(&record(100, 0.1, 0.0), 1e6, (6e5, 7e5)), None);
    }
}
