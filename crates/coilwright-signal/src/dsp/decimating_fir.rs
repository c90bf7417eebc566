use num_complex::Complex32;
use pulp::{Simd, WithSimd};

/// How many outputs are computed side by side, so that one load of the taps serves them all.
const GROUP: usize = 4;
/// Taps are padded with zeros to a multiple of this, the widest vector in single precision.
pub(super) const TAP_MULTIPLE: usize = 16;

/// Complex taps on real samples, one output every `decimation` samples.
pub(super) struct DecimatingFir<'a> {
    /// Real parts of the taps; the length is a multiple of [`TAP_MULTIPLE`].
    pub taps_re: &'a [f32],
    /// Imaginary parts, of the same length.
    pub taps_im: &'a [f32],
    /// Input step from one output to the next.
    pub decimation: usize,
    /// The samples; output i starts at sample `i * decimation`.
    pub samples: &'a [f32],
    /// Receives every output whose taps lie wholly inside the samples, as far as it is long enough.
    pub outputs: &'a mut [Complex32],
}

impl DecimatingFir<'_> {
    /// How many outputs `samples` input samples give with `taps` taps.
    pub(super) fn outputs(samples: usize, taps: usize, decimation: usize) -> usize {
        (samples + decimation).saturating_sub(taps) / decimation
    }
}

impl WithSimd for DecimatingFir<'_> {
    type Output = ();

    #[expect(
        clippy::inline_always,
        reason = "pulp compiles what is inlined here for each instruction set"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let length = self.taps_re.len();
        let (taps_re, _) = S::as_simd_f32s(self.taps_re);
        let (taps_im, _) = S::as_simd_f32s(self.taps_im);
        let window = |index: usize| -> &[S::f32s] {
            let start = index * self.decimation;
            S::as_simd_f32s(self.samples.get(start..start + length).unwrap_or_default()).0
        };
        let mut index = 0;
        for group in self.outputs.chunks_mut(GROUP) {
            if let [a, b, c, d] = group {
                let sums = four(
                    simd,
                    taps_re,
                    taps_im,
                    std::array::from_fn(|k| window(index + k)),
                );
                for (output, sum) in [a, b, c, d].into_iter().zip(sums) {
                    *output = sum;
                }
            } else {
                for (k, output) in group.iter_mut().enumerate() {
                    *output = one(simd, taps_re, taps_im, window(index + k));
                }
            }
            index += GROUP;
        }
    }
}

#[expect(
    clippy::inline_always,
    reason = "part of the kernel that pulp compiles for each instruction set"
)]
#[inline(always)]
fn four<S: Simd>(
    simd: S,
    taps_re: &[S::f32s],
    taps_im: &[S::f32s],
    windows: [&[S::f32s]; GROUP],
) -> [Complex32; GROUP] {
    let zero = simd.splat_f32s(0.0);
    let mut re = [zero; GROUP];
    let mut im = [zero; GROUP];
    let [a, b, c, d] = windows;
    for (((((&tap_re, &tap_im), &a), &b), &c), &d) in
        taps_re.iter().zip(taps_im).zip(a).zip(b).zip(c).zip(d)
    {
        for (k, x) in [a, b, c, d].into_iter().enumerate() {
            re[k] = simd.mul_add_e_f32s(x, tap_re, re[k]);
            im[k] = simd.mul_add_e_f32s(x, tap_im, im[k]);
        }
    }
    std::array::from_fn(|k| {
        Complex32::new(simd.reduce_sum_f32s(re[k]), simd.reduce_sum_f32s(im[k]))
    })
}

#[expect(
    clippy::inline_always,
    reason = "part of the kernel that pulp compiles for each instruction set"
)]
#[inline(always)]
fn one<S: Simd>(
    simd: S,
    taps_re: &[S::f32s],
    taps_im: &[S::f32s],
    window: &[S::f32s],
) -> Complex32 {
    let mut re = simd.splat_f32s(0.0);
    let mut im = re;
    for ((&tap_re, &tap_im), &x) in taps_re.iter().zip(taps_im).zip(window) {
        re = simd.mul_add_e_f32s(x, tap_re, re);
        im = simd.mul_add_e_f32s(x, tap_im, im);
    }
    Complex32::new(simd.reduce_sum_f32s(re), simd.reduce_sum_f32s(im))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Single-precision sums of 64 products of order 1 in two orders differ by some 64 rounding steps.
    const ROUNDING: f32 = 64.0 * f32::EPSILON;

    /// A second implementation in plain words.
    fn naive(fir: &DecimatingFir<'_>) -> Vec<Complex32> {
        (0..fir.outputs.len())
            .map(|index| {
                let window = &fir.samples[index * fir.decimation..];
                let dot = |taps: &[f32]| taps.iter().zip(window).map(|(tap, x)| tap * x).sum();
                Complex32::new(dot(fir.taps_re), dot(fir.taps_im))
            })
            .collect()
    }

    #[test]
    fn every_instruction_set_gives_what_the_plain_loop_gives() {
        for (taps, decimation) in [(16, 1), (64, 16), (48, 7), (128, 32)] {
            let wave = |n: usize, step: f32| (n as f32 * step).sin();
            let samples: Vec<f32> = (0..1000).map(|n| wave(n, 0.77)).collect();
            let taps_re: Vec<f32> = (0..taps).map(|n| wave(n, 0.31) / 8.0).collect();
            let taps_im: Vec<f32> = (0..taps).map(|n| wave(n, 0.53) / 8.0).collect();
            let count = DecimatingFir::outputs(samples.len(), taps, decimation);
            assert!(
                (count - 1) * decimation + taps <= samples.len()
                    && count * decimation + taps > samples.len()
            );
            let run = |scalar: bool| {
                let mut outputs = vec![Complex32::default(); count];
                let fir = DecimatingFir {
                    taps_re: &taps_re,
                    taps_im: &taps_im,
                    decimation,
                    samples: &samples,
                    outputs: &mut outputs,
                };
                let expected = naive(&fir);
                if scalar {
                    fir.with_simd(pulp::Scalar);
                } else {
                    pulp::Arch::new().dispatch(fir);
                }
                for (output, expected) in outputs.iter().zip(expected) {
                    assert!((output - expected).norm() < ROUNDING, "{output} {expected}");
                }
            };
            run(false);
            run(true);
        }
    }
}
