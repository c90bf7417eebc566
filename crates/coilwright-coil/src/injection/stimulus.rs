use crate::FitError;
use crate::quantity::Positive;
use num_complex::Complex64;
use rustfft::FftPlanner;
use serde::{Deserialize, Serialize};
use std::f64::consts::{PI, TAU};

/// Highest frequency over the sample rate: converters' filters end between here and one half (common practice, no source).
const PASS_BAND: f64 = 0.45;
/// Most samples of a stimulus: 87 s at 192 kS/s.
const MOST_SAMPLES: usize = 1 << 24;
/// Part of a chirp over which its amplitude rises and falls.
const FADE: f64 = 0.01;

/// What is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Stimulus {
    /// A tone that runs evenly from the low to the high frequency: the least crest factor, and what a listener can follow.
    Chirp,
    /// Noise of even power in the band; it repeats after its duration.
    Noise {
        /// Chooses the noise.
        seed: u64,
    },
    /// Tones evenly spaced, with Schroeder's phases for a low crest factor; it repeats after its duration.
    MultiSine {
        /// Number of tones, at least two.
        tones: usize,
    },
}

/// A stimulus to make.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct StimulusPlan {
    /// What is played.
    pub stimulus: Stimulus,
    /// Lowest frequency, hertz.
    pub low_hz: f64,
    /// Highest frequency, hertz.
    pub high_hz: f64,
    /// Samples per second of the card.
    pub sample_rate_hz: f64,
    /// Length, seconds.
    pub duration_s: f64,
    /// Largest sample; 1 is full scale.
    pub peak: f64,
}

/// Returns the highest frequency that a card of this sample rate makes: 0.45 of the rate.
///
/// A card at 192 kS/s ends at 86 kHz: for a ring at 125 kHz it takes 278 kS/s and more, so in practice 384 kS/s, or a generator.
///
/// ```
/// assert_eq!(coilwright_coil::highest_playable_hz(192e3), 86_400.0);
/// ```
#[must_use]
pub fn highest_playable_hz(sample_rate_hz: f64) -> f64 {
    PASS_BAND * sample_rate_hz
}

/// Refuses what the card cannot make or take.
pub(crate) fn check_card(low_hz: f64, high_hz: f64, sample_rate_hz: f64) -> Result<(), FitError> {
    Positive::Frequency.check(sample_rate_hz)?;
    if !(low_hz > 0.0 && low_hz < high_hz && high_hz.is_finite()) {
        return Err(FitError::BadBand { low_hz, high_hz });
    }
    if high_hz > highest_playable_hz(sample_rate_hz) {
        return Err(FitError::BeyondCard {
            frequency_hz: high_hz,
            sample_rate_hz,
            highest_hz: highest_playable_hz(sample_rate_hz),
            needed_rate_hz: high_hz / PASS_BAND,
        });
    }
    Ok(())
}

/// Returns the samples to play, full scale 1.
///
/// # Errors
///
/// [`FitError::BeyondCard`] with the card's highest frequency; a band, a peak or a length that makes no sense.
///
/// ```
/// use coilwright_coil::{Stimulus, StimulusPlan, make_stimulus};
/// let plan = StimulusPlan {
///     stimulus: Stimulus::Chirp, low_hz: 20e3, high_hz: 80e3, sample_rate_hz: 192e3, duration_s: 0.1, peak: 0.5,
/// };
/// assert_eq!(make_stimulus(&plan)?.len(), 19_200);
/// assert!(make_stimulus(&StimulusPlan { high_hz: 130e3, ..plan }).is_err());
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
///
/// # Source
///
/// Phases `−πk(k−1)/n` of the multi-sine: Schroeder, IEEE Trans. Information Theory 16 (1970) 85, from memory.
pub fn make_stimulus(plan: &StimulusPlan) -> Result<Vec<f32>, FitError> {
    check_card(plan.low_hz, plan.high_hz, plan.sample_rate_hz)?;
    Positive::Duration.check(plan.duration_s)?;
    Positive::Scale.check(plan.peak)?;
    if plan.peak > 1.0 {
        return Err(FitError::PeakBeyondScale { found: plan.peak });
    }
    let found = (plan.duration_s * plan.sample_rate_hz).round();
    if found > MOST_SAMPLES as f64 {
        return Err(FitError::StimulusLong {
            found,
            limit: MOST_SAMPLES,
        });
    }
    let samples = found as usize;
    let bins = bins(plan, samples);
    let tones = bins.end.saturating_sub(bins.start);
    let needed = 2;
    if samples < 16 || tones < needed {
        return Err(FitError::TooFewPoints {
            found: tones,
            needed,
        });
    }
    let wave = match plan.stimulus {
        Stimulus::Chirp => chirp(plan, samples),
        Stimulus::Noise { seed } => {
            let mut random = SplitMix(seed);
            periodic(samples, bins.map(|bin| (bin, random.phase())))
        }
        Stimulus::MultiSine { tones: wanted } => {
            if !(needed..=tones).contains(&wanted) {
                return Err(FitError::TonesUnplayable {
                    found: wanted,
                    most: tones,
                    duration_s: plan.duration_s,
                    low_hz: plan.low_hz,
                    high_hz: plan.high_hz,
                });
            }
            let count = wanted;
            let place = |k: usize| bins.start + k * (tones - 1) / (count - 1);
            let phase = |k: usize| -PI * (k * k.saturating_sub(1)) as f64 / count as f64;
            periodic(samples, (0..count).map(|k| (place(k), phase(k))))
        }
    };
    let largest = wave.iter().fold(f64::MIN_POSITIVE, |m, v| v.abs().max(m));
    Ok(wave
        .iter()
        .map(|v| (v * plan.peak / largest) as f32)
        .collect())
}

/// Bins of the period that lie in the band.
fn bins(plan: &StimulusPlan, samples: usize) -> std::ops::Range<usize> {
    let width = plan.sample_rate_hz / samples.max(1) as f64;
    let first = (plan.low_hz / width).ceil() as usize;
    let last = (plan.high_hz / width).floor() as usize;
    first.max(1)..(last + 1).min(samples / 2)
}

fn chirp(plan: &StimulusPlan, samples: usize) -> Vec<f64> {
    let (length, fade) = (samples as f64, (FADE * samples as f64).max(1.0));
    (0..samples)
        .map(|n| {
            let n = n as f64;
            let t = n / plan.sample_rate_hz;
            let rate = (plan.high_hz - plan.low_hz) / plan.duration_s;
            let edge = ((n + 1.0).min(length - n) / fade).min(1.0);
            let gain = 0.5 - 0.5 * (PI * edge).cos();
            gain * (TAU * (plan.low_hz * t + 0.5 * rate * t * t)).sin()
        })
        .collect()
}

/// One period of tones of equal amplitude at these bins and phases.
fn periodic(samples: usize, tones: impl Iterator<Item = (usize, f64)>) -> Vec<f64> {
    let mut spectrum = vec![Complex64::default(); samples];
    for (bin, phase) in tones {
        if let Some(value) = spectrum.get_mut(bin) {
            *value = Complex64::cis(phase);
        }
    }
    FftPlanner::new()
        .plan_fft_inverse(samples)
        .process(&mut spectrum);
    spectrum.iter().map(|v| v.re).collect()
}

/// Steele, Lea and Flood's generator, "Fast splittable pseudorandom number generators" (2014), from memory.
struct SplitMix(u64);

impl SplitMix {
    fn phase(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        TAU * ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}
