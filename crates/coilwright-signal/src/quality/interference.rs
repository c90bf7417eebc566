use num_complex::{Complex32, Complex64};

use super::result::InterferenceLine;
use crate::dsp::fourier;

/// What the spectrum is taken of.
pub(super) struct Stretches<'a> {
    pub(super) values: &'a [Vec<f32>],
    /// Values of one sample: 2 for I, Q pairs.
    pub(super) width: usize,
    pub(super) sample_rate_hz: f64,
    pub(super) carrier_hz: Option<f64>,
    /// Amplitude of the whole signal, against which lines are held if no carrier is known.
    pub(super) amplitude: f64,
}

/// A line stands out by this much.
pub(super) const ABOVE_FLOOR_DB: f64 = 15.0;
/// Below this, hum and drift are looked at elsewhere.
const LOWEST_HZ: f64 = 2000.0;
/// Half the width of a line under the window, in bins.
const LINE_BINS: i64 = 4;
/// The floor is the median over this many bins, taken every so many.
const FLOOR_BINS: usize = 96;
const FLOOR_STEP: usize = 16;
/// Six to eight bins beside a narrow line the power is below this part of it.
const NARROW_PART: f32 = 0.05;
/// A sideband has a partner on the other side of its carrier with at least this part of its power; rings that are
/// off tune make them unequal.
const PARTNER_PART: f32 = 0.1;
/// Sidebands reach this far from the carrier, a subcarrier at half the carrier included, and from its harmonics.
const SIDEBAND_HZ: f64 = 80e3;
const HARMONIC_SIDEBAND_HZ: f64 = 20e3;
const HARMONICS: i64 = 40;
const LISTED: usize = 16;
/// Shortest stretch whose spectrum is taken.
const SHORTEST_SAMPLES: usize = 1024;

/// Averaged periodogram under the four-term window of Harris (Proc. IEEE 66 (1978), table 1: side lobes −92 dB).
struct Spectrum {
    /// Power in each bin, scaled so that a line shows the square of its amplitude.
    power: Vec<f32>,
    floor: Vec<f32>,
    bin_hz: f64,
    complex: bool,
}

/// Lines that are neither the carrier nor a harmonic nor a sideband, strongest first.
pub(super) fn interference_lines(stretches: &Stretches<'_>) -> Vec<InterferenceLine> {
    let Some(spectrum) = Spectrum::new(stretches) else {
        return Vec::new();
    };
    let carrier_bin = stretches
        .carrier_hz
        .map(|carrier_hz| carrier_hz / spectrum.bin_hz);
    let reference = carrier_bin.map_or(stretches.amplitude.powi(2), |bin| {
        f64::from(spectrum.peak_near(bin))
    });
    let mut lines: Vec<InterferenceLine> = spectrum
        .narrow_lines()
        .into_iter()
        .filter(|&bin| carrier_bin.is_none_or(|carrier_bin| !spectrum.belongs_to(carrier_bin, bin)))
        .map(|bin| spectrum.line(bin, reference))
        .collect();
    lines.sort_by(|a, b| b.amplitude.total_cmp(&a.amplitude));
    lines.truncate(LISTED);
    lines
}

impl Spectrum {
    fn new(stretches: &Stretches<'_>) -> Option<Self> {
        let values = stretches.values.first()?.len();
        let samples = 1_usize << (values / stretches.width).max(1).ilog2();
        if samples < SHORTEST_SAMPLES {
            return None;
        }
        let complex = stretches.width == 2;
        let window = harris_window(samples);
        let gain: f32 = window.iter().sum();
        let scale = if complex { 1.0 / gain } else { 2.0 / gain };
        let mut power = vec![0.0; if complex { samples } else { samples / 2 }];
        // Two real stretches go through one transform as the two parts of a complex one: |X|² + |Y|² is half of what
        // their sum has at k and −k together.
        let at_once = if complex { 1 } else { 2 };
        for group in stretches.values.chunks(at_once) {
            let sample = |n: usize| match (complex, group) {
                (true, [pairs, ..]) => Complex32::new(pairs[2 * n], pairs[2 * n + 1]),
                (false, [one, other]) => Complex32::new(one[n], other[n]),
                (false, [one]) => Complex32::from(one[n]),
                _ => Complex32::default(),
            };
            let mut points: Vec<Complex32> = window
                .iter()
                .enumerate()
                .map(|(n, window)| sample(n) * *window * scale)
                .collect();
            fourier::forward(&mut points);
            for (k, power) in power.iter_mut().enumerate() {
                let here = points[k].norm_sqr();
                let added = if complex {
                    here
                } else {
                    0.5 * (here + points[(samples - k) % samples].norm_sqr())
                };
                *power += added / stretches.values.len() as f32;
            }
        }
        Some(Self {
            floor: floor(&power),
            power,
            bin_hz: stretches.sample_rate_hz / samples as f64,
            complex,
        })
    }

    fn length(&self) -> i64 {
        self.power.len().cast_signed() as i64
    }

    /// Brings a bin of any number into the spectrum: folded for real samples, round the circle for complex ones.
    fn fold(&self, bin: f64) -> f64 {
        let length = self.length() as f64;
        if self.complex {
            return bin.rem_euclid(length);
        }
        let round = bin.rem_euclid(2.0 * length);
        if round > length {
            2.0 * length - round
        } else {
            round
        }
    }

    fn at(&self, bin: i64) -> f32 {
        let index = self.fold(bin as f64) as usize;
        self.power.get(index).copied().unwrap_or(0.0)
    }

    fn peak_near(&self, bin: f64) -> f32 {
        let bin = self.fold(bin).round() as i64;
        (bin - 2..=bin + 2)
            .map(|bin| self.at(bin))
            .fold(0.0, f32::max)
    }

    fn floor_at(&self, bin: i64) -> f32 {
        let index = usize::try_from(bin).unwrap_or(0) / FLOOR_STEP;
        self.floor
            .get(index.min(self.floor.len().saturating_sub(1)))
            .copied()
            .unwrap_or(0.0)
    }

    fn frequency_hz(&self, bin: f64) -> f64 {
        let half = self.length() as f64 / 2.0;
        if self.complex && bin > half {
            (bin - 2.0 * half) * self.bin_hz
        } else {
            bin * self.bin_hz
        }
    }

    fn narrow_lines(&self) -> Vec<i64> {
        let above = 10.0_f32.powf(ABOVE_FLOOR_DB as f32 / 10.0);
        (0..self.length())
            .filter(|&bin| {
                let peak = self.at(bin);
                let floor = self.floor_at(bin);
                peak > above * floor
                    && self.frequency_hz(bin as f64).abs() > LOWEST_HZ
                    && (1..=LINE_BINS)
                        .all(|step| self.at(bin - step) < peak && self.at(bin + step) <= peak)
                    && (6..=8).all(|step| {
                        let beside = self.at(bin - step).max(self.at(bin + step));
                        beside < (NARROW_PART * peak).max(4.0 * floor)
                    })
            })
            .collect()
    }

    /// Whether a line is the carrier, one of its harmonics, or a sideband of either; the sidebands of the carrier
    /// also come with each harmonic and, through even distortion, with 0 Hz.
    fn belongs_to(&self, carrier_bin: f64, bin: i64) -> bool {
        let power = self.at(bin);
        (0..=HARMONICS).any(|order| {
            let centre = self.fold(order as f64 * carrier_bin);
            let distance = bin as f64 - centre;
            let distance_hz = distance.abs() * self.bin_hz;
            if order == 1 {
                let has_partner = self.peak_near(centre - distance) > PARTNER_PART * power;
                return distance_hz < SIDEBAND_HZ && self.peak_near(centre) > power && has_partner;
            }
            let (below, above) = (
                self.peak_near(carrier_bin - distance),
                self.peak_near(carrier_bin + distance),
            );
            let is_copy = below.min(above) > PARTNER_PART * power && below.max(above) > power;
            distance_hz < HARMONIC_SIDEBAND_HZ && is_copy
        }) || (1..=HARMONICS).any(|order| {
            (bin as f64 - self.fold(order as f64 * carrier_bin)).abs() <= LINE_BINS as f64
        })
    }

    fn line(&self, bin: i64, reference: f64) -> InterferenceLine {
        let power = f64::from(self.at(bin));
        // Parabola through the logarithms of three bins.
        let [left, middle, right] =
            [-1, 0, 1].map(|step| f64::from(self.at(bin + step)).max(1e-300).ln());
        let offset = 0.5 * (left - right) / (left - 2.0 * middle + right).min(-1e-12);
        InterferenceLine {
            frequency_hz: self.frequency_hz(bin as f64 + offset),
            amplitude: power.sqrt(),
            level_db: 10.0 * (power / reference).log10(),
            above_floor_db: 10.0 * (power / f64::from(self.floor_at(bin)).max(1e-30)).log10(),
        }
    }
}

/// Median power round every sixteenth bin.
fn floor(power: &[f32]) -> Vec<f32> {
    (0..power.len())
        .step_by(FLOOR_STEP)
        .map(|bin| {
            let from = bin
                .saturating_sub(FLOOR_BINS / 2)
                .min(power.len().saturating_sub(FLOOR_BINS));
            let mut around = power
                .get(from..(from + FLOOR_BINS).min(power.len()))
                .unwrap_or_default()
                .to_vec();
            let middle = around.len() / 2;
            *around.select_nth_unstable_by(middle, f32::total_cmp).1
        })
        .collect()
}

fn harris_window(samples: usize) -> Vec<f32> {
    const TERMS: [f64; 4] = [0.35875, -0.48829, 0.14128, -0.01168];
    let step = Complex64::cis(std::f64::consts::TAU / samples as f64);
    let mut turn = Complex64::new(1.0, 0.0);
    (0..samples)
        .map(|_| {
            // cos 2x and cos 3x in terms of cos x.
            let cosine = turn.re;
            turn *= step;
            let double = 2.0 * cosine * cosine - 1.0;
            let triple = cosine * (2.0 * double - 1.0);
            let terms = [1.0, cosine, double, triple];
            terms
                .iter()
                .zip(TERMS)
                .map(|(x, term)| x * term)
                .sum::<f64>() as f32
        })
        .collect()
}
