//! The stretches of a segment in which the field is on, for the demodulator.

use std::f64::consts::TAU;
use std::ops::Range;

use coilwright_signal::capture::SampleKind;
use num_complex::Complex32;
use pulp::{Simd, WithSimd};

/// Length of one level reading, in carrier cycles: short against a burst, long against noise.
const CYCLES: f64 = 64.0;
/// Share of the largest level seen that counts as field on. A key changes the level by less than 20 %.
const ON_SHARE: f64 = 0.35;
/// Left out after the first reading with the field on (0.5 ms each at 125 kHz): the ring settles and the key wakes up. A reading
/// looks at the start of its window only, so the switch-on itself lies up to one reading further back.
const SETTLE: usize = 2;
/// Shortest stretch that is worth demodulating, in level readings: about 10 ms.
const SHORTEST: usize = 20;
/// Shortest charge and shortest pause of a half-duplex key: the charge lasts 15 ms and more, a telegram 13 ms and more.
const SHORTEST_PAUSE_S: f64 = 10e-3;

/// What successive windows of a segment show of the carrier.
#[derive(Debug, Default)]
pub(super) struct Readings {
    /// Amplitudes.
    pub levels: Vec<f32>,
    /// Phases at the start of each window; none where the samples do not show the carrier.
    pub phases: Vec<f32>,
}

/// The level of successive windows of `hop` samples at `apparent_hz`, as an amplitude, and the phase.
pub(super) fn readings(
    values: &[f32],
    kind: SampleKind,
    cycles_per_sample: f64,
    hop: usize,
) -> Readings {
    let of_levels = |levels| Readings {
        levels,
        phases: Vec::new(),
    };
    match kind {
        SampleKind::Complex => of_levels(
            values
                .chunks_exact(2 * hop)
                .map(|window| {
                    let power: f32 = window.iter().map(|value| value * value).sum();
                    (power / hop as f32).sqrt()
                })
                .collect(),
        ),
        SampleKind::Real if cycles_per_sample == 0.0 => of_levels(
            values
                .chunks_exact(hop)
                .map(|window| window.iter().sum::<f32>().abs() / hop as f32)
                .collect(),
        ),
        SampleKind::Real => tones(values, cycles_per_sample, hop),
    }
}

fn tones(values: &[f32], cycles_per_sample: f64, hop: usize) -> Readings {
    // A quarter of each window tells its level well enough, since the field is switched far more slowly.
    let length = (hop / 4).next_multiple_of(16).min(hop);
    let (cosine, sine): (Vec<f32>, Vec<f32>) = (0..length)
        .map(|n| {
            let angle = TAU * (cycles_per_sample * n as f64).fract();
            (angle.cos() as f32, angle.sin() as f32)
        })
        .unzip();
    let mut tones = vec![Complex32::default(); values.len() / hop];
    pulp::Arch::new().dispatch(Tones {
        values,
        hop,
        cosine: &cosine,
        sine: &sine,
        found: &mut tones,
    });
    Readings {
        levels: tones.iter().map(|tone| tone.norm()).collect(),
        phases: tones.iter().map(|tone| tone.arg()).collect(),
    }
}

/// The tone at the start of each whole window of `hop` values.
struct Tones<'a> {
    values: &'a [f32],
    hop: usize,
    cosine: &'a [f32],
    sine: &'a [f32],
    found: &'a mut [Complex32],
}

impl WithSimd for Tones<'_> {
    type Output = ();

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let length = self.cosine.len();
        let (cosine, sine) = (S::as_simd_f32s(self.cosine).0, S::as_simd_f32s(self.sine).0);
        let windows = self.values.chunks_exact(self.hop);
        for (window, tone) in windows.zip(self.found) {
            let values = S::as_simd_f32s(window.get(..length).unwrap_or_default()).0;
            let (mut in_phase, mut quadrature) = (simd.splat_f32s(0.0), simd.splat_f32s(0.0));
            for ((&x, &c), &s) in values.iter().zip(cosine).zip(sine) {
                in_phase = simd.mul_add_e_f32s(x, c, in_phase);
                quadrature = simd.mul_add_e_f32s(x, s, quadrature);
            }
            let (a, b) = (
                simd.reduce_sum_f32s(in_phase),
                simd.reduce_sum_f32s(quadrature),
            );
            *tone = Complex32::new(a, -b) * (2.0 / length as f32);
        }
    }
}

/// Samples in one level reading, a multiple of 16.
pub(super) fn hop_samples(cycles_per_sample: f64, sample_rate_hz: f64) -> usize {
    let samples = if cycles_per_sample > 0.0 {
        (CYCLES / cycles_per_sample) as usize
    } else {
        (sample_rate_hz * 5e-4) as usize
    };
    samples.clamp(16, 1 << 16).next_multiple_of(16)
}

/// Runs of samples with the field on, given the readings and the largest level seen in the capture so far.
pub(super) fn stretches(levels: &[f32], hop: usize, top: f32) -> Vec<Range<usize>> {
    let threshold = top * ON_SHARE as f32;
    let mut found = Vec::new();
    let mut start = None;
    for (index, &level) in levels.iter().chain(std::iter::once(&-1.0)).enumerate() {
        match (level > threshold, start) {
            (true, None) => start = Some(index),
            (false, Some(first)) => {
                let settled = if first == 0 { 0 } else { first + SETTLE };
                let last = if index == levels.len() {
                    index
                } else {
                    index - 1
                };
                if last >= settled + SHORTEST {
                    found.push(settled * hop..last * hop);
                }
                start = None;
            }
            _ => {}
        }
    }
    found
}

/// Pauses of the field after stretches that could have charged a key, from where the field goes off until just before it
/// comes on again or the readings end.
pub(super) fn pauses(
    levels: &[f32],
    hop: usize,
    top: f32,
    sample_rate_hz: f64,
) -> Vec<Range<usize>> {
    let shortest = (SHORTEST_PAUSE_S * sample_rate_hz / hop as f64) as usize;
    let threshold = top * ON_SHARE as f32;
    let on = |index: usize| levels.get(index).is_some_and(|&level| level > threshold);
    let mut found = Vec::new();
    let (mut charged, mut off_at) = (0, None);
    for index in 0..=levels.len() {
        let ended = index == levels.len() || on(index);
        match (ended, off_at) {
            (true, Some(first)) => {
                // A reading looks at the start of its window only: the field may have come on in the one before.
                let last = if on(index) { index - 1 } else { index };
                if last >= first + shortest {
                    found.push(first * hop..last * hop);
                }
                off_at = None;
                charged = 0;
            }
            (false, None) if charged >= shortest => off_at = Some(index),
            (false, None) => charged = 0,
            _ => {}
        }
        if on(index) {
            charged += 1;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pause_follows_a_burst_that_charges() {
        let mut readings = vec![0.01; 200];
        readings[10..15].fill(0.5);
        readings[40..80].fill(0.5);
        readings[120..160].fill(0.5);
        let pauses = pauses(&readings, 512, 0.5, 1e6);
        assert_eq!(pauses, vec![80 * 512..119 * 512, 160 * 512..200 * 512]);
    }

    #[test]
    fn the_level_of_a_tone_is_its_amplitude() {
        let cycles_per_sample = 0.125_037;
        let values: Vec<f32> = (0..20_000)
            .map(|n| 0.3 * (TAU * cycles_per_sample * f64::from(n)).cos() as f32)
            .collect();
        let hop = hop_samples(cycles_per_sample, 1e6);
        for level in readings(&values, SampleKind::Real, cycles_per_sample, hop).levels {
            assert!((level - 0.3).abs() < 0.003, "{level}");
        }
    }

    #[test]
    fn a_burst_is_found_without_its_settling() {
        let mut readings = vec![0.01; 100];
        readings[30..80].fill(0.5);
        assert_eq!(stretches(&readings, 512, 0.5), vec![32 * 512..79 * 512]);
    }

    #[test]
    fn a_steady_field_is_one_stretch() {
        assert_eq!(stretches(&[0.5; 50], 16, 0.5), vec![0..800]);
    }
}
