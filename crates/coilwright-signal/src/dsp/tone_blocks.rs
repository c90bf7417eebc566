//! The carrier in consecutive blocks of samples.

use std::f64::consts::TAU;

use num_complex::{Complex32, Complex64};

use super::decimating_fir::{DecimatingFir, TAP_MULTIPLE};
use super::rotation::rotate;

/// Blocks are a multiple of so many samples.
pub(crate) const BLOCK_MULTIPLE: usize = TAP_MULTIPLE;

/// Weights that turn `count` real samples into the in-phase and quadrature amplitudes a and b of a tone: least squares of
/// a cos + b sin + c, so that an offset and the tone's own image do not leak in whatever the ratio of rate and frequency.
pub(crate) fn tone_weights(count: usize, cycles_per_sample: f64) -> (Vec<f32>, Vec<f32>) {
    let phase = |n: usize| TAU * cycles_per_sample * n as f64;
    let mut cos: Vec<f64> = (0..count).map(|n| phase(n).cos()).collect();
    let mut sin: Vec<f64> = (0..count).map(|n| phase(n).sin()).collect();
    for column in [&mut cos, &mut sin] {
        let mean = column.iter().sum::<f64>() / count as f64;
        for value in column.iter_mut() {
            *value -= mean;
        }
    }
    let dot = |x: &[f64], y: &[f64]| x.iter().zip(y).map(|(x, y)| x * y).sum::<f64>();
    let (cc, ss, cs) = (dot(&cos, &cos), dot(&sin, &sin), dot(&cos, &sin));
    let determinant = cc * ss - cs * cs;
    cos.iter()
        .zip(&sin)
        .map(|(c, s)| {
            let in_phase = (ss * c - cs * s) / determinant;
            let quadrature = (cc * s - cs * c) / determinant;
            (in_phase as f32, quadrature as f32)
        })
        .unzip()
}

/// The complex amplitude z of the carrier in each whole block, the samples being Re(z e^(jωn)) with n counted from the first.
///
/// It is the mean over the block, so that the sum over blocks is the matched filter for levels that last some blocks; it costs
/// two products a sample.
pub(crate) fn tone_blocks(samples: &[f32], cycles_per_sample: f64, block: usize) -> Vec<Complex32> {
    let (in_phase, quadrature) = tone_weights(block, cycles_per_sample);
    let negative: Vec<f32> = quadrature.iter().map(|weight| -weight).collect();
    let mut outputs = vec![Complex32::default(); samples.len() / block];
    pulp::Arch::new().dispatch(DecimatingFir {
        taps_re: &in_phase,
        taps_im: &negative,
        decimation: block,
        samples,
        outputs: &mut outputs,
    });
    let step = Complex64::cis(-TAU * (cycles_per_sample * block as f64).fract());
    rotate(&mut outputs, Complex64::new(1.0, 0.0), step);
    outputs
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sums of some dozen products in single precision.
    const ROUNDING: f32 = 1e-5;

    #[test]
    fn a_tone_on_an_offset_has_one_amplitude_in_every_block() {
        for (cycles_per_sample, block) in [(0.125, 32), (0.134_2, 16), (0.3, 48), (0.013, 80)] {
            let amplitude = Complex64::from_polar(0.5, 0.3);
            let samples: Vec<f32> = (0..1000)
                .map(|n| {
                    let turn = Complex64::cis(TAU * cycles_per_sample * f64::from(n));
                    (0.2 + (amplitude * turn).re) as f32
                })
                .collect();
            let blocks = tone_blocks(&samples, cycles_per_sample, block);
            assert_eq!(blocks.len(), 1000 / block);
            let expected = Complex32::new(amplitude.re as f32, amplitude.im as f32);
            for value in blocks {
                assert!(
                    (value - expected).norm() < ROUNDING,
                    "{cycles_per_sample}: {value}"
                );
            }
        }
    }
}
