use num_complex::Complex32;

use crate::capture::SampleKind;
use crate::demodulate::deviation::Stretch;
use crate::dsp::fourier;

/// Length of a part of the stretch; its resolution must part the bands from one another.
const PART_S: f64 = 16e-3;
/// Half the width of the band round a subcarrier's sideband.
const BAND_HZ: f64 = 1000.0;
/// What a band holds over the typical noise to be worth a closer look. Over 0.3 s the mean of noise alone strays by
/// 0.03; keys at 3 dB of energy a bit over noise density hold 0.3 (two tones) to 0.6 more.
const EXCESS: f64 = 1.12;
/// Nothing nearer to the carrier than this counts as noise.
const CARRIER_HZ: f64 = 5e3;
/// The window spreads the carrier over less than this on both sides.
const CARRIER_WIDTH_HZ: f64 = 200.0;

/// The power spectrum of a stretch, for a quick look whether there are subcarriers at all.
///
/// Welch (1967): mean of windowed, overlapping parts. The window (Hann's) keeps the carrier from leaking.
pub(super) struct Spectrum {
    powers: Vec<f32>,
    kind: SampleKind,
    /// Samples a second over the length of a part.
    resolution_hz: f64,
    typical: f64,
}

impl Spectrum {
    /// The spectrum of the samples in `range`; `None` when they are too few.
    pub(super) fn of(stretch: &Stretch<'_>, range: std::ops::Range<usize>) -> Option<Self> {
        let width = stretch.kind.width();
        let samples = stretch
            .samples
            .get(range.start * width..range.end * width)?;
        let length = ((PART_S * stretch.sample_rate_hz) as usize).next_power_of_two();
        let window: Vec<f32> = (0..length)
            .map(|n| {
                (std::f32::consts::PI * (n as f32 + 0.5) / length as f32)
                    .sin()
                    .powi(2)
            })
            .collect();
        let parts: Vec<&[f32]> = (0..)
            .map_while(|k| samples.get(k * length / 2 * width..(k * length / 2 + length) * width))
            .collect();
        if parts.is_empty() {
            return None;
        }
        let mut powers = vec![0.0; length];
        let mut add = |mut values: Vec<Complex32>| {
            fourier::forward(&mut values);
            for (power, value) in powers.iter_mut().zip(&values) {
                *power += value.norm_sqr();
            }
        };
        match stretch.kind {
            // Two real parts go through one transform; their powers add up over a frequency and its negative.
            SampleKind::Real => parts.chunks(2).for_each(|pair| {
                let second = |n: usize| pair.get(1).map_or(0.0, |part| part[n]);
                let values = pair[0].iter().enumerate().zip(&window);
                add(values
                    .map(|((n, &x), &w)| Complex32::new(x * w, second(n) * w))
                    .collect());
            }),
            SampleKind::Complex => parts.iter().for_each(|part| {
                let pairs = part.as_chunks::<2>().0.iter().zip(&window);
                add(pairs
                    .map(|(&[re, im], &w)| Complex32::new(re * w, im * w))
                    .collect());
            }),
        }
        if stretch.kind == SampleKind::Real {
            for bin in 1..length / 2 {
                powers[bin] += powers[length - bin];
            }
            powers.truncate(length / 2);
        }
        Some(Self {
            powers,
            kind: stretch.kind,
            resolution_hz: stretch.sample_rate_hz / length as f64,
            typical: 0.0,
        })
    }

    /// Takes the median between the two frequencies, the surroundings of the carrier left out, for the noise.
    pub(super) fn with_noise_between(mut self, low_hz: f64, high_hz: f64, carrier_hz: f64) -> Self {
        let bins = [
            (low_hz, carrier_hz - CARRIER_HZ),
            (carrier_hz + CARRIER_HZ, high_hz),
        ];
        let mut powers: Vec<f32> = bins
            .iter()
            .flat_map(|&(from, to)| self.band(from, to))
            .collect();
        let middle = powers.len() / 2;
        if middle > 0 {
            let (_, median, _) = powers.select_nth_unstable_by(middle, f32::total_cmp);
            self.typical = f64::from(*median);
        }
        self
    }

    /// Whether the bands round `frequencies_hz` together hold more than the noise.
    pub(super) fn stands_out(&self, frequencies_hz: &[f64]) -> bool {
        let powers: Vec<f32> = frequencies_hz
            .iter()
            .flat_map(|&middle| self.band(middle - BAND_HZ, middle + BAND_HZ))
            .collect();
        let mean = f64::from(powers.iter().sum::<f32>()) / powers.len().max(1) as f64;
        self.typical > 0.0 && mean > EXCESS * self.typical
    }

    /// The power in some bands less the noise's, over that of the carrier.
    pub(super) fn power_over_carrier(&self, bands_hz: &[(f64, f64)], carrier_hz: f64) -> f64 {
        let total = |&(from_hz, to_hz): &(f64, f64)| -> f64 {
            let band = self.band(from_hz, to_hz).into_iter();
            band.map(|power| f64::from(power) - self.typical).sum()
        };
        let carrier = total(&(carrier_hz - CARRIER_WIDTH_HZ, carrier_hz + CARRIER_WIDTH_HZ));
        bands_hz.iter().map(total).sum::<f64>() / carrier.max(1e-300)
    }

    fn band(&self, from_hz: f64, to_hz: f64) -> Vec<f32> {
        let count = self.powers.len() as f64;
        let from = (from_hz / self.resolution_hz).ceil();
        let bins = ((to_hz / self.resolution_hz).floor() - from).clamp(-1.0, count) + 1.0;
        (0..bins as usize)
            .filter_map(|k| {
                let bin = from + k as f64;
                let index = match self.kind {
                    SampleKind::Complex => bin.rem_euclid(count),
                    // The spectrum of real samples folds back at both ends.
                    SampleKind::Real => {
                        let folded = bin.rem_euclid(2.0 * count);
                        folded.min(2.0 * count - folded)
                    }
                };
                self.powers.get(index as usize).copied()
            })
            .collect()
    }
}
