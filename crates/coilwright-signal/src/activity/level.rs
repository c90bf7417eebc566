use std::f64::consts::TAU;

use super::ActivityError;
use crate::dsp::tone_weights;

/// What the level of a window is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LevelKind {
    /// Amplitude of the carrier in real samples.
    RealCarrier,
    /// Magnitude of the carrier in I, Q samples; its frequency may be negative or 0.
    ComplexCarrier,
    /// The real samples themselves, as behind a diode detector; the carrier frequency is not used.
    Envelope,
}

impl LevelKind {
    /// How many `f32` one sample takes.
    pub(super) const fn width(self) -> usize {
        match self {
            Self::RealCarrier | Self::Envelope => 1,
            Self::ComplexCarrier => 2,
        }
    }
}

/// Windows are a multiple of this many samples, so that the sums fill vector registers.
const LANES: usize = 8;
/// Shortest window: 9 dB of gain against white noise.
const SHORTEST_SAMPLES: f64 = 16.0;
/// Longest window, reached only when the carrier appears next to 0 or half the rate.
const LONGEST_SAMPLES: f64 = 4096.0;
/// Length of a window of envelope or I, Q samples: two cycles of 125 kHz.
const WINDOW_S: f64 = 16e-6;

/// Level of consecutive short windows at the carrier.
///
/// Real samples: least squares of `a cos + b sin + c` over the window, so that DC and the carrier's own image do
/// not leak in whatever the ratio of rate and carrier; the level is `sqrt(a² + b²)`.
pub(super) struct LevelMeter {
    window_samples: usize,
    in_phase: Vec<f32>,
    quadrature: Vec<f32>,
    arch: pulp::Arch,
}

impl LevelMeter {
    pub(super) fn new(
        sample_rate_hz: f64,
        carrier_hz: f64,
        kind: LevelKind,
    ) -> Result<Self, ActivityError> {
        if !(sample_rate_hz.is_finite() && sample_rate_hz > 0.0) {
            return Err(ActivityError::SampleRate { sample_rate_hz });
        }
        let limit_hz = sample_rate_hz / 2.0;
        let possible = match kind {
            LevelKind::RealCarrier => carrier_hz > 0.0 && carrier_hz < limit_hz,
            LevelKind::ComplexCarrier => carrier_hz.abs() < limit_hz,
            LevelKind::Envelope => true,
        };
        if !possible {
            return Err(ActivityError::Carrier {
                carrier_hz,
                limit_hz,
            });
        }
        let window_samples = window_samples(sample_rate_hz, carrier_hz, kind);
        let (in_phase, quadrature) = weights(window_samples, carrier_hz / sample_rate_hz, kind);
        Ok(Self {
            window_samples,
            in_phase,
            quadrature,
            arch: pulp::Arch::new(),
        })
    }

    /// Samples of one window; windows follow each other without a gap.
    pub(super) const fn window_samples(&self) -> usize {
        self.window_samples
    }

    /// `f32` values of one window.
    pub(super) const fn window_values(&self) -> usize {
        self.in_phase.len()
    }

    /// Appends the level of each whole window of `values`.
    pub(super) fn measure(&self, values: &[f32], levels: &mut Vec<f32>) {
        let (in_phase, quadrature) = (self.in_phase.as_slice(), self.quadrature.as_slice());
        let start = levels.len();
        levels.resize(start + values.len() / in_phase.len(), 0.0);
        let levels = levels.get_mut(start..).unwrap_or_default();
        self.arch.dispatch(WeightedSums {
            values,
            in_phase,
            quadrature,
            levels,
        });
    }
}

fn window_samples(sample_rate_hz: f64, carrier_hz: f64, kind: LevelKind) -> usize {
    let wanted = match kind {
        LevelKind::Envelope | LevelKind::ComplexCarrier => WINDOW_S * sample_rate_hz,
        LevelKind::RealCarrier => {
            let from_half_rate_hz = sample_rate_hz / 2.0 - carrier_hz;
            (2.0 * sample_rate_hz / carrier_hz).max(sample_rate_hz / from_half_rate_hz)
        }
    };
    let whole = (wanted.clamp(SHORTEST_SAMPLES, LONGEST_SAMPLES) / LANES as f64).round() as usize;
    whole * LANES
}

/// Weights that turn one window into the carrier's in-phase and quadrature amplitude.
fn weights(window_samples: usize, cycles_per_sample: f64, kind: LevelKind) -> (Vec<f32>, Vec<f32>) {
    let count = window_samples as f64;
    let phase = |n: usize| TAU * cycles_per_sample * n as f64;
    match kind {
        LevelKind::Envelope => (vec![(1.0 / count) as f32; window_samples], Vec::new()),
        LevelKind::ComplexCarrier => (0..window_samples)
            .flat_map(|n| {
                let (sin, cos) = phase(n).sin_cos();
                [(cos / count, -sin / count), (sin / count, cos / count)]
            })
            .map(|(in_phase, quadrature)| (in_phase as f32, quadrature as f32))
            .unzip(),
        LevelKind::RealCarrier => tone_weights(window_samples, cycles_per_sample),
    }
}

/// Levels of consecutive windows as sums against weights; without quadrature weights the sum itself.
struct WeightedSums<'a> {
    values: &'a [f32],
    in_phase: &'a [f32],
    quadrature: &'a [f32],
    levels: &'a mut [f32],
}

impl pulp::WithSimd for WeightedSums<'_> {
    type Output = ();

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, simd: S) {
        let (c, c_rest) = S::as_simd_f32s(self.in_phase);
        let (s, s_rest) = S::as_simd_f32s(self.quadrature);
        for (window, level) in self
            .values
            .chunks_exact(self.in_phase.len())
            .zip(self.levels)
        {
            let (x, x_rest) = S::as_simd_f32s(window);
            let a = weighted_sum(simd, (x, x_rest), (c, c_rest));
            *level = if self.quadrature.is_empty() {
                a
            } else {
                let b = weighted_sum(simd, (x, x_rest), (s, s_rest));
                (a * a + b * b).sqrt()
            };
        }
    }
}

#[expect(
    clippy::inline_always,
    reason = "the body must take on the vector features of the dispatch"
)]
#[inline(always)]
fn weighted_sum<S: pulp::Simd>(
    simd: S,
    (values, values_rest): (&[S::f32s], &[f32]),
    (weights, weights_rest): (&[S::f32s], &[f32]),
) -> f32 {
    let mut sum = simd.splat_f32s(0.0);
    for (x, w) in values.iter().zip(weights) {
        sum = simd.mul_add_e_f32s(*x, *w, sum);
    }
    let mut total = simd.reduce_sum_f32s(sum);
    for (x, w) in values_rest.iter().zip(weights_rest) {
        total += x * w;
    }
    total
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test that meets nothing must fail")]
mod tests {
    use super::*;

    /// `f32` sums of a hundred terms.
    const ROUNDING: f32 = 2e-6;

    #[test]
    fn level_is_the_amplitude_at_any_ratio_of_rate_and_carrier_and_ignores_dc() {
        for (rate_hz, carrier_hz) in [
            (1e6, 125e3),
            (1e6, 134.2e3),
            (192e3, 67e3),
            (96e3, 29e3),
            (10e6, 125e3),
            (400e3, 134.2e3),
        ] {
            let meter = LevelMeter::new(rate_hz, carrier_hz, LevelKind::RealCarrier).unwrap();
            let values: Vec<f32> = (0..meter.window_values() * 3)
                .map(|n| (0.4 + 0.5 * (TAU * carrier_hz / rate_hz * n as f64 + 0.3).cos()) as f32)
                .collect();
            let mut levels = Vec::new();
            meter.measure(&values, &mut levels);
            assert_eq!(levels.len(), 3);
            for level in levels {
                assert!(
                    (level - 0.5).abs() < ROUNDING,
                    "{rate_hz} {carrier_hz}: {level}"
                );
            }
        }
    }
}
