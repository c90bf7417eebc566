use std::f64::consts::TAU;

use num_complex::{Complex32, Complex64};

use super::LowPass;
use super::decimating_fir::{DecimatingFir, TAP_MULTIPLE};
use super::rotation::rotate;

/// Frequency where the response is halved, as a fraction of the decimated rate.
const CUTOFF: f64 = 0.4;
/// No band is narrower than this, in cycles per sample.
const MIN_CUTOFF: f64 = 0.01;
/// The response is halved at this share of the way to the mirror image.
const IMAGE_SHARE: f64 = 0.7;
/// Below this decimation the filter is as long as for twice this decimation, or it would not be steep enough.
const FEW: usize = 4;

/// Brings a band round one frequency down to 0 Hz and decimates it, block by block.
///
/// One pass over the real samples: the low-pass taps are shifted to the frequency, so that filtering and decimation
/// happen before the rotation, which then runs at the low rate:
/// y\[i\] = e^(−jωDi) Σₙ h\[n\] e^(−jωn) x\[Di + n\]. The taps are adjusted so that a constant offset of the
/// samples leaves nothing. Output i stands for the input position `D i + delay_samples()`.
///
/// ```
/// use coilwright_signal::dsp::DownConverter;
/// // A tone of amplitude 2 becomes a constant of magnitude 2 / 2 (the other half is the mirror image).
/// let tone: Vec<f32> = (0..4096).map(|n| 2.0 * (0.125 * std::f32::consts::TAU * n as f32).cos()).collect();
/// let mut converter = DownConverter::new(0.125, 16, 4);
/// let mut baseband = Vec::new();
/// converter.process(&tone, &mut baseband);
/// assert!(baseband.iter().all(|z| (z.norm() - 1.0).abs() < 0.01));
/// ```
#[derive(Clone, Debug)]
pub struct DownConverter {
    low_pass: LowPass,
    taps_re: Vec<f32>,
    taps_im: Vec<f32>,
    decimation: usize,
    carry: Vec<f32>,
    step: Complex64,
    rotation: Complex64,
}

impl DownConverter {
    /// A converter of real samples for `frequency` in cycles per sample that keeps every `decimation`-th output and
    /// spends `spans * decimation` taps on each; 4 spans hold the loss of a matched filter under 0.2 dB.
    ///
    /// The band is narrowed where the mirror image of the carrier would fall into it.
    #[must_use]
    pub fn new(frequency: f64, decimation: usize, spans: usize) -> Self {
        let folded = (frequency - frequency.round()).abs();
        let to_image = (2.0 * folded).min(1.0 - 2.0 * folded);
        Self::with_cutoff(frequency, decimation, spans, IMAGE_SHARE * to_image)
    }

    /// A converter of complex samples, for [`Self::process_complex`].
    #[must_use]
    pub fn for_complex(frequency: f64, decimation: usize, spans: usize) -> Self {
        Self::with_cutoff(frequency, decimation, spans, 1.0)
    }

    fn with_cutoff(frequency: f64, decimation: usize, spans: usize, limit: f64) -> Self {
        let decimation = decimation.max(1);
        let cutoff = (CUTOFF / decimation as f64).min(limit.max(MIN_CUTOFF));
        let length = if decimation < FEW {
            spans.max(1) * FEW * 2
        } else {
            spans.max(1) * decimation
        };
        let low_pass = LowPass::new(cutoff, length);
        let taps = without_offset(&low_pass, frequency);
        let padded = taps.len().next_multiple_of(TAP_MULTIPLE);
        let pad = |part: fn(&Complex64) -> f64| {
            let mut padded_taps: Vec<f32> = taps.iter().map(|tap| part(tap) as f32).collect();
            padded_taps.resize(padded, 0.0);
            padded_taps
        };
        Self {
            taps_re: pad(|tap| tap.re),
            taps_im: pad(|tap| tap.im),
            low_pass,
            decimation,
            carry: Vec::new(),
            step: Complex64::cis(-TAU * frequency * decimation as f64),
            rotation: Complex64::new(1.0, 0.0),
        }
    }

    /// Returns the filter before its shift.
    #[must_use]
    pub fn low_pass(&self) -> &LowPass {
        &self.low_pass
    }

    /// Returns the input position that output 0 stands for, in samples.
    #[must_use]
    pub fn delay_samples(&self) -> f64 {
        self.low_pass.delay_samples()
    }

    /// Converts the next real samples and appends the outputs that they complete.
    pub fn process(&mut self, samples: &[f32], outputs: &mut Vec<Complex32>) {
        if self.carry.is_empty() {
            self.convert(samples, outputs);
            return;
        }
        // Only the outputs that straddle the two blocks need a joined copy.
        let joined_end = samples.len().min(self.taps_re.len() + self.decimation);
        let mut joined = std::mem::take(&mut self.carry);
        let carried = joined.len();
        joined.extend_from_slice(&samples[..joined_end]);
        if joined_end == samples.len() {
            self.convert(&joined, outputs);
            return;
        }
        let straddling = carried.div_ceil(self.decimation);
        let consumed = straddling * self.decimation;
        self.filter(&joined, straddling, outputs);
        self.convert(&samples[consumed - carried..], outputs);
    }

    /// Converts the next complex samples, given as I, Q pairs, and appends the outputs that they complete; `carry`
    /// over block borders is the caller's.
    pub fn process_complex(&mut self, pairs: &[f32], outputs: &mut Vec<Complex32>) {
        let (pairs, _) = pairs.as_chunks::<2>();
        let [in_phase, quadrature] =
            [0, 1].map(|part| pairs.iter().map(|pair| pair[part]).collect::<Vec<f32>>());
        let mut twin = self.clone();
        let first = outputs.len();
        self.convert(&in_phase, outputs);
        self.carry.clear();
        let mut from_quadrature = Vec::with_capacity(outputs.len() - first);
        twin.convert(&quadrature, &mut from_quadrature);
        for (output, q) in outputs[first..].iter_mut().zip(from_quadrature) {
            *output += Complex32::new(-q.im, q.re);
        }
    }

    /// Filters as many outputs as fit and keeps the rest of the samples for the next block.
    fn convert(&mut self, samples: &[f32], outputs: &mut Vec<Complex32>) {
        let count = DecimatingFir::outputs(samples.len(), self.taps_re.len(), self.decimation);
        self.filter(samples, count, outputs);
        self.carry = samples
            .get(count * self.decimation..)
            .unwrap_or_default()
            .to_vec();
    }

    fn filter(&mut self, samples: &[f32], count: usize, outputs: &mut Vec<Complex32>) {
        let first = outputs.len();
        outputs.resize(first + count, Complex32::default());
        let fresh = &mut outputs[first..];
        pulp::Arch::new().dispatch(DecimatingFir {
            taps_re: &self.taps_re,
            taps_im: &self.taps_im,
            decimation: self.decimation,
            samples,
            outputs: &mut *fresh,
        });
        self.rotation = rotate(fresh, self.rotation, self.step);
    }
}

/// The taps shifted to `frequency`, less the part that a constant input would leave.
fn without_offset(low_pass: &LowPass, frequency: f64) -> Vec<Complex64> {
    let shifted: Vec<Complex64> = low_pass
        .taps()
        .iter()
        .enumerate()
        .map(|(n, tap)| tap * Complex64::cis(-TAU * frequency * n as f64))
        .collect();
    // At 0 Hz itself there is no offset to tell from the carrier.
    if low_pass.gain(frequency).abs() > 0.1 {
        return shifted;
    }
    let leak: Complex64 = shifted.iter().sum();
    shifted
        .iter()
        .zip(low_pass.taps())
        .map(|(shifted, tap)| shifted - leak * tap)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of some 100 products in single precision, and of the rotation.
    const ROUNDING: f32 = 1e-5;

    fn wave(length: usize) -> Vec<f32> {
        (0..length)
            .map(|n| (0.783 * n as f64).sin() as f32 + 0.1 * (0.61 * n as f64).cos() as f32)
            .collect()
    }

    /// Mix at full rate, filter, decimate: what the one pass replaces.
    fn naive(samples: &[f32], frequency: f64, converter: &DownConverter) -> Vec<Complex64> {
        let taps = converter.low_pass.taps();
        let mixed: Vec<Complex64> = samples
            .iter()
            .enumerate()
            .map(|(n, &x)| Complex64::cis(-TAU * frequency * n as f64) * f64::from(x))
            .collect();
        mixed
            .windows(taps.len())
            .step_by(converter.decimation)
            .map(|window| window.iter().zip(taps).map(|(z, tap)| z * tap).sum())
            .collect()
    }

    #[test]
    fn one_pass_equals_mixing_at_the_full_rate() {
        for (decimation, spans) in [(16, 6), (7, 4), (2, 6)] {
            let samples = wave(4_000);
            let mut converter = DownConverter::new(0.124_6, decimation, spans);
            let mut outputs = Vec::new();
            converter.process(&samples, &mut outputs);
            let expected = naive(&samples, 0.124_6, &converter);
            assert!(outputs.len() > 4_000 / decimation - 2 * spans - 34);
            for (output, expected) in outputs.iter().zip(expected) {
                let off = Complex64::new(output.re.into(), output.im.into()) - expected;
                // Taking out the offset moves the filter by as much as its stop band.
                assert!(off.norm() < 1e-3, "{output} {expected}");
            }
        }
    }

    #[test]
    fn blocks_give_what_the_whole_gives() {
        let samples = wave(5_000);
        let mut whole = Vec::new();
        DownConverter::new(0.125, 16, 4).process(&samples, &mut whole);
        for block in [1, 7, 50, 64, 100, 1_000, 4_999] {
            let mut converter = DownConverter::new(0.125, 16, 4);
            let mut outputs = Vec::new();
            for part in samples.chunks(block) {
                converter.process(part, &mut outputs);
            }
            assert_eq!(outputs.len(), whole.len(), "blocks of {block}");
            for (a, b) in outputs.iter().zip(&whole) {
                assert!((a - b).norm() < ROUNDING, "blocks of {block}: {a} {b}");
            }
        }
    }

    #[test]
    fn an_offset_leaves_nothing() {
        let mut outputs = Vec::new();
        DownConverter::new(0.125, 16, 4).process(&[1.0; 2_000], &mut outputs);
        assert!(outputs.iter().all(|z| z.norm() < ROUNDING));
    }

    #[test]
    fn a_complex_tone_comes_down_whole_and_its_mirror_does_not() {
        let pairs = |frequency: f64| -> Vec<f32> {
            (0..3_000)
                .flat_map(|n| {
                    let (sin, cos) = (TAU * frequency * f64::from(n)).sin_cos();
                    [cos as f32, sin as f32]
                })
                .collect()
        };
        let level = |frequency: f64| {
            let mut outputs = Vec::new();
            DownConverter::for_complex(0.11, 8, 6).process_complex(&pairs(frequency), &mut outputs);
            outputs.iter().fold(0.0_f32, |most, z| most.max(z.norm()))
        };
        assert!((level(0.11) - 1.0).abs() < 1e-3);
        assert!(level(-0.11) < 1e-2);
    }
}
