//! A carrier whose load is switched at subcarriers, and noise, from the formula.

use std::f64::consts::TAU;

use num_complex::Complex64;
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use crate::recorder::{Recorder, Switched};

/// How the subcarrier of a frequency-shift key goes on from bit to bit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Divider {
    /// It starts anew with each bit.
    Restarts,
    /// It goes on from the phase that it had.
    GoesOn,
}

/// What the subcarrier does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Keying {
    /// Carrier periods of the subcarrier for 1 and for 0.
    Frequency([u32; 2], Divider),
    /// Carrier periods of the subcarrier; the phase is the bit.
    Phase(u32),
}

/// x(t) = A Re\[(1 + m s(t) e^(jθ)) e^(jωt)\] + noise, with s = ±1, a square wave at the subcarrier; of m s(t) as much as a
/// recorder with an anti-alias filter lets through.
#[derive(Clone)]
pub(crate) struct Subcarrier {
    pub keying: Keying,
    pub clocks_per_bit: u32,
    /// Sent over and over.
    pub bits: Vec<u8>,
    pub sample_rate_hz: f64,
    pub carrier_hz: f64,
    pub amplitude: f64,
    pub depth: f64,
    pub axis_rad: f64,
    pub delay_s: f64,
    /// Energy per bit over noise density: the squares of what the modulation adds to the samples, summed up and divided by
    /// the number of bits, over twice the noise's variance.
    pub eb_n0_db: f64,
    /// Hum: relative amplitude at 100 Hz, on both axes.
    pub hum: f64,
    pub seed: u64,
}

impl Subcarrier {
    pub(crate) fn new(keying: Keying, clocks_per_bit: u32, bits: Vec<u8>) -> Self {
        Self {
            keying,
            clocks_per_bit,
            bits,
            sample_rate_hz: 1e6,
            carrier_hz: 125_003.7,
            amplitude: 0.5,
            depth: 0.02,
            axis_rad: 0.4,
            delay_s: 1.234e-4,
            eb_n0_db: 20.0,
            hum: 0.0,
            seed: 1,
        }
    }

    /// What a recorder with an anti-alias filter makes of it.
    pub(crate) fn recorded(&self, seconds: f64) -> Recorded {
        let mut random = ChaCha8Rng::seed_from_u64(self.seed);
        let phase = random.random::<f64>() * TAU;
        let hum_phase = random.random::<f64>() * TAU;
        let count = (seconds * self.sample_rate_hz).round() as usize;
        let frequency = self.carrier_hz / self.sample_rate_hz;
        let carrier = |n: usize| Complex64::cis(TAU * (frequency * n as f64).fract() + phase);
        let relative = Recorder::new(frequency).samples(&self.switched(count as f64), count);
        let axis = Complex64::from_polar(self.amplitude * self.depth, self.axis_rad);
        let added: Vec<f64> = (0..count)
            .zip(relative)
            .map(|(n, load)| (load * axis * carrier(n)).re)
            .collect();
        let bit_samples = f64::from(self.clocks_per_bit) / frequency;
        let bit_energy = added.iter().map(|x| x * x).sum::<f64>() * bit_samples / count as f64;
        let noise = (bit_energy / (2.0 * 10.0_f64.powf(self.eb_n0_db / 10.0))).sqrt();
        let samples = added.iter().enumerate().map(|(n, added)| {
            let turn = TAU * 100.0 * n as f64 / self.sample_rate_hz + hum_phase;
            let hum = self.hum * turn.cos();
            let bare = self.amplitude * (Complex64::new(1.0 + hum, hum) * carrier(n)).re;
            let deviate: f64 = StandardNormal.sample(&mut random);
            (bare + added + noise * deviate) as f32
        });
        Recorded {
            samples: samples.collect(),
            share: 2.0 * bit_energy / (axis.norm_sqr() * bit_samples),
        }
    }

    /// The bit that is sent during bit time `index`; the ones before the first are 0.
    fn bit(&self, index: i64) -> u8 {
        if index < 0 {
            return 0;
        }
        self.bits[index as usize % self.bits.len()]
    }

    /// The subcarrier's phase, in periods, where each bit begins.
    fn phases(&self, count: usize) -> Vec<f64> {
        let mut phase = 0.0;
        (0..count)
            .map(|index| {
                let start = phase;
                if let Keying::Frequency(clocks, Divider::GoesOn) = self.keying {
                    let clocks = clocks[usize::from(self.bits[index % self.bits.len()] == 0)];
                    phase = (phase + f64::from(self.clocks_per_bit) / f64::from(clocks)).fract();
                }
                start
            })
            .collect()
    }

    /// When the load is switched, from before the first of `count` samples to after the last.
    fn switched(&self, count: f64) -> Vec<Switched> {
        let samples_a_clock = self.sample_rate_hz / self.carrier_hz;
        let delay = self.delay_s * self.sample_rate_hz;
        let bit_samples = f64::from(self.clocks_per_bit) * samples_a_clock;
        let first = (-delay / bit_samples).floor() as i64 - 2;
        let last = ((count - delay) / bit_samples).ceil() as i64 + 2;
        let starts = self.phases(last.max(0) as usize);
        let mut switched: Vec<Switched> = Vec::new();
        for index in first..last {
            let start = f64::from(self.clocks_per_bit) * index as f64;
            for (clock, level) in self.levels(index, &starts) {
                if switched.last().is_none_or(|before| before.level != level) {
                    let at = (start + clock) * samples_a_clock + delay;
                    switched.push(Switched { at, level });
                }
            }
        }
        switched
    }

    /// The levels of the load during bit time `index`, each with the carrier periods from the bit's start to its own.
    fn levels(&self, index: i64, starts: &[f64]) -> Vec<(f64, i8)> {
        let bit = self.bit(index);
        let length = f64::from(self.clocks_per_bit);
        let (clocks, phase, sign) = match self.keying {
            Keying::Phase(clocks) => {
                let phase = (index as f64 * length / f64::from(clocks)).rem_euclid(1.0);
                (clocks, phase, if bit == 1 { 1 } else { -1 })
            }
            Keying::Frequency(clocks, _) => {
                let start = usize::try_from(index).map_or(0.0, |index| starts[index]);
                (clocks[usize::from(bit == 0)], start, 1)
            }
        };
        let half = f64::from(clocks) / 2.0;
        let begun = (2.0 * phase).floor();
        let level = |halves: f64| if halves % 2.0 == 0.0 { sign } else { -sign };
        let mut levels = vec![(0.0, level(begun))];
        let mut halves = begun + 1.0;
        while (halves - 2.0 * phase) * half < length {
            levels.push(((halves - 2.0 * phase) * half, level(halves)));
            halves += 1.0;
        }
        levels
    }
}

/// The samples of a recording.
pub(crate) struct Recorded {
    pub samples: Vec<f32>,
    /// The energy that the modulation adds to them, over that of the ideal square at any rate: the rest lies beyond half
    /// the sample rate.
    pub share: f64,
}
