use std::f64::consts::TAU;

use num_complex::Complex32;

use super::carrier_lines;
use super::heard::Heard;
use super::line::LabelledLine;
use crate::capture::SampleKind;
use crate::carrier::SignalKind;
use crate::dsp::fourier;

/// Samples that are transformed at most, in the middle of the stretch: 0.26 s at 1 MS/s, lines 4 Hz apart.
const LONGEST: usize = 1 << 18;
/// Fewer samples than this show nothing.
const SHORTEST: usize = 256;
/// The four-term Blackman-Harris window, whose side lobes lie 92 dB down: F. J. Harris, "On the use of windows for
/// harmonic analysis with the discrete Fourier transform", Proc. IEEE 66 (1978), table I (from memory).
const WINDOW: [f64; 4] = [0.358_75, -0.488_29, 0.141_28, -0.011_68];
/// Noise bandwidth of that window in bins (same table).
const NOISE_BINS: f64 = 2.0;

/// The spectrum of a stretch of samples, as it is seen in them: a carrier above half the sample rate stands where it
/// is folded to.
#[derive(Clone, Debug, PartialEq)]
pub struct Spectrum {
    /// Frequency of the first level: 0, or minus half the sample rate for complex samples.
    pub first_hz: f64,
    /// Hertz from one level to the next.
    pub step_hz: f64,
    /// The level of a tone at each frequency over the carrier's, in decibels.
    pub level_dbc: Vec<f32>,
    /// The level at which the noise beside the carrier stands in this spectrum, where it was measured.
    pub noise_dbc: Option<f64>,
    /// Half the width of a line, in hertz.
    pub line_half_width_hz: f64,
    /// The lines that are known or stand out, the carrier first.
    pub lines: Vec<LabelledLine>,
}

impl Spectrum {
    /// The spectrum of what was heard; `None` where the stretch is too short.
    #[must_use]
    pub fn of(heard: &Heard<'_>) -> Option<Self> {
        let width = heard.kind.width();
        let all = heard.samples.len() / width;
        let length = all.min(LONGEST);
        if length < SHORTEST {
            return None;
        }
        let from = (all - length) / 2;
        let samples = &heard.samples[from * width..(from + length) * width];
        let amplitude = heard.listening.amplitude.value;
        let bins = transform(samples, heard.kind, heard.carrier.kind);
        let step_hz = heard.sample_rate_hz / bins.len() as f64;
        let level_dbc = levels(&bins, heard.kind, length, amplitude);
        let noise_bin_hz = NOISE_BINS * heard.sample_rate_hz / length as f64;
        let noise_dbc = heard.listening.noise_dbc_hz + 10.0 * noise_bin_hz.log10();
        let mut spectrum = Self {
            first_hz: match heard.kind {
                SampleKind::Real => 0.0,
                SampleKind::Complex => -step_hz * (bins.len() / 2) as f64,
            },
            step_hz,
            level_dbc,
            noise_dbc: noise_dbc.is_finite().then_some(noise_dbc),
            line_half_width_hz: 4.0 * heard.sample_rate_hz / length as f64,
            lines: Vec::new(),
        };
        spectrum.lines = carrier_lines::label(&spectrum, heard);
        Some(spectrum)
    }

    /// The frequency of level `index`.
    #[must_use]
    pub fn frequency_hz(&self, index: usize) -> f64 {
        self.first_hz + index as f64 * self.step_hz
    }
}

/// The windowed transform; of an envelope without its level.
fn transform(samples: &[f32], kind: SampleKind, signal: SignalKind) -> Vec<Complex32> {
    let length = samples.len() / kind.width();
    let level = if signal == SignalKind::Envelope && kind == SampleKind::Real {
        samples.iter().map(|&x| f64::from(x)).sum::<f64>() / length as f64
    } else {
        0.0
    };
    let mut bins: Vec<Complex32> = match kind {
        SampleKind::Real => samples
            .iter()
            .map(|&x| Complex32::from((f64::from(x) - level) as f32))
            .collect(),
        SampleKind::Complex => samples
            .as_chunks::<2>()
            .0
            .iter()
            .map(|&[i, q]| Complex32::new(i, q))
            .collect(),
    };
    for (n, value) in bins.iter_mut().enumerate() {
        let angle = TAU * (n as f64 + 0.5) / length as f64;
        let weight: f64 = WINDOW
            .iter()
            .enumerate()
            .map(|(k, a)| a * (k as f64 * angle).cos())
            .sum();
        *value *= weight as f32;
    }
    bins.resize(fourier::fast_length(length), Complex32::default());
    fourier::forward(&mut bins);
    bins
}

/// Levels over the carrier in order of frequency; over the strongest line where the carrier has no level.
fn levels(bins: &[Complex32], kind: SampleKind, length: usize, amplitude: f64) -> Vec<f32> {
    let gain = WINDOW[0] * length as f64;
    let (ordered, scale): (Vec<Complex32>, f64) = match kind {
        SampleKind::Real => (bins[..=bins.len() / 2].to_vec(), 2.0 / gain),
        SampleKind::Complex => {
            let (positive, negative) = bins.split_at(bins.len().div_ceil(2));
            ([negative, positive].concat(), 1.0 / gain)
        }
    };
    let tones = || ordered.iter().map(|z| scale * f64::from(z.norm()));
    let reference = if amplitude.is_finite() && amplitude > 0.0 {
        amplitude
    } else {
        tones().fold(f64::MIN_POSITIVE, f64::max)
    };
    tones()
        .map(|tone| (20.0 * (tone / reference).max(1e-12).log10()) as f32)
        .collect()
}
