//! A carrier whose load is switched at subcarriers, and noise, from the formula.

use std::f64::consts::TAU;

use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

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

/// x(t) = A Re\[(1 + m s(t) e^(jθ)) e^(jωt)\] + noise, with s = ±1, a square wave at the subcarrier.
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
    /// Energy per bit over noise density: m² SNR fs T / 2.
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

    pub(crate) fn samples(&self, seconds: f64) -> Vec<f32> {
        let mut random = ChaCha8Rng::seed_from_u64(self.seed);
        let bit_s = f64::from(self.clocks_per_bit) / self.carrier_hz;
        let gain = self.depth.powi(2) * self.sample_rate_hz * bit_s / 2.0;
        let snr_db = self.eb_n0_db - 10.0 * gain.log10();
        let noise = self.amplitude / 2.0_f64.sqrt() * 10.0_f64.powf(-snr_db / 20.0);
        let phase = random.random::<f64>() * TAU;
        let hum_phase = random.random::<f64>() * TAU;
        let (sin_axis, cos_axis) = self.axis_rad.sin_cos();
        let count = (seconds * self.sample_rate_hz).round() as usize;
        let last = (seconds + self.delay_s.abs()) / bit_s + 2.0;
        let starts = self.phases(last as usize);
        (0..count)
            .map(|n| {
                let t = n as f64 / self.sample_rate_hz;
                let level = self.level((t - self.delay_s) * self.carrier_hz, &starts);
                let hum = self.hum * (TAU * 100.0 * t + hum_phase).cos();
                let re = 1.0 + self.depth * level * cos_axis + hum;
                let im = self.depth * level * sin_axis + hum;
                let angle = TAU * (self.carrier_hz * t).fract() + phase;
                let deviate: f64 = StandardNormal.sample(&mut random);
                (self.amplitude * (re * angle.cos() - im * angle.sin()) + noise * deviate) as f32
            })
            .collect()
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

    /// The key's level after `clock` carrier periods.
    fn level(&self, clock: f64, starts: &[f64]) -> f64 {
        let index = (clock / f64::from(self.clocks_per_bit)).floor();
        let bit = self.bit(index as i64);
        let square = |phase: f64| {
            if phase.rem_euclid(1.0) < 0.5 {
                1.0
            } else {
                -1.0
            }
        };
        match self.keying {
            Keying::Phase(clocks) => {
                let sign = 2.0 * f64::from(bit) - 1.0;
                sign * square(clock / f64::from(clocks))
            }
            Keying::Frequency(clocks, _) => {
                let clocks = f64::from(clocks[usize::from(bit == 0)]);
                let within = clock - index * f64::from(self.clocks_per_bit);
                let start = if index < 0.0 {
                    0.0
                } else {
                    starts[index as usize]
                };
                square(start + within / clocks)
            }
        }
    }
}
