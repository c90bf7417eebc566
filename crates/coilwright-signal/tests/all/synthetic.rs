//! A carrier with load modulation and noise, from the formula: the decoder's input without any simulator.

use std::f64::consts::{PI, TAU};

use num_complex::Complex64;
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// x(t) = A Re\[(1 + m s(t) e^(jθ)) e^(jωt)\] + noise, with s = ±1 from half-bit levels.
#[derive(Clone)]
pub(crate) struct Answer {
    pub sample_rate_hz: f64,
    pub carrier_hz: f64,
    pub amplitude: f64,
    pub depth: f64,
    pub axis_rad: f64,
    pub clocks_per_bit: f64,
    /// Half-bit levels, sent over and over; empty for a bare carrier.
    pub levels: Vec<u8>,
    pub delay_s: f64,
    /// Carrier power over noise power in half the sample rate.
    pub snr_db: f64,
    /// Hum: relative amplitude at 100 Hz, on both axes.
    pub hum: f64,
    /// Resonance and Q of a ring that smears the answer.
    pub ring: Option<(f64, f64)>,
    pub seed: u64,
}

impl Answer {
    pub(crate) fn new(levels: Vec<u8>, clocks_per_bit: f64) -> Self {
        Self {
            sample_rate_hz: 1e6,
            carrier_hz: 125_003.7,
            amplitude: 0.5,
            depth: 0.02,
            axis_rad: 0.4,
            clocks_per_bit,
            levels,
            delay_s: 1.234e-4,
            snr_db: 40.0,
            hum: 0.0,
            ring: None,
            seed: 1,
        }
    }

    /// The carrier signal-to-noise ratio that gives this energy per bit over noise density:
    /// Eb/N0 = m² SNR fs T / 2.
    pub(crate) fn with_eb_n0(mut self, eb_n0_db: f64) -> Self {
        let bit_s = self.clocks_per_bit / self.carrier_hz;
        let gain = self.depth.powi(2) * self.sample_rate_hz * bit_s / 2.0;
        self.snr_db = eb_n0_db - 10.0 * gain.log10();
        self
    }

    pub(crate) fn samples(&self, seconds: f64) -> Vec<f32> {
        let mut random = ChaCha8Rng::seed_from_u64(self.seed);
        let noise = self.amplitude / 2.0_f64.sqrt() * 10.0_f64.powf(-self.snr_db / 20.0);
        let hum_phase = random.random::<f64>() * TAU;
        let phase = random.random::<f64>() * TAU;
        let count = (seconds * self.sample_rate_hz).round() as usize;
        let halves_per_s = 2.0 * self.carrier_hz / self.clocks_per_bit;
        let axis = Complex64::cis(self.axis_rad);
        let rest = self.pole_per_s().map_or(Complex64::default(), |pole| {
            (-pole / self.sample_rate_hz).exp()
        });
        let mut smeared = Complex64::default();
        (0..count)
            .map(|n| {
                let t = n as f64 / self.sample_rate_hz;
                let level = self.level(((t - self.delay_s) * halves_per_s).floor());
                smeared = level + (smeared - level) * rest;
                let hum = self.hum * (TAU * 100.0 * t + hum_phase).cos();
                let deviation = self.depth * smeared * axis;
                let re = 1.0 + deviation.re + hum;
                let im = deviation.im + hum;
                let angle = TAU * (self.carrier_hz * t).fract() + phase;
                let deviate: f64 = StandardNormal.sample(&mut random);
                (self.amplitude * (re * angle.cos() - im * angle.sin()) + noise * deviate) as f32
            })
            .collect()
    }

    /// The pole of the ring as the modulation sees it: 2π (f0/2Q − j (f0 − fc)).
    pub(crate) fn pole_per_s(&self) -> Option<Complex64> {
        self.ring.map(|(resonance_hz, q)| {
            TAU * Complex64::new(resonance_hz / (2.0 * q), self.carrier_hz - resonance_hz)
        })
    }

    /// The output of a detector: `level` + m s(t), at the bit clock of the carrier, with a trace of noise.
    pub(crate) fn envelope(&self, seconds: f64, level: f64) -> Vec<f32> {
        let mut random = ChaCha8Rng::seed_from_u64(self.seed);
        let halves_per_s = 2.0 * self.carrier_hz / self.clocks_per_bit;
        (0..(seconds * self.sample_rate_hz) as usize)
            .map(|n| {
                let t = n as f64 / self.sample_rate_hz - self.delay_s;
                let deviate: f64 = StandardNormal.sample(&mut random);
                (level + self.depth * (self.level((t * halves_per_s).floor()) + 0.05 * deviate))
                    as f32
            })
            .collect()
    }

    /// I, Q pairs of a receiver that sees the carrier at `offset_hz`, with the bit clock of 125 kHz.
    pub(crate) fn pairs(&self, seconds: f64, offset_hz: f64) -> Vec<f32> {
        let halves_per_s = 2.0 * 125e3 / self.clocks_per_bit;
        (0..(seconds * self.sample_rate_hz) as usize)
            .flat_map(|n| {
                let t = n as f64 / self.sample_rate_hz;
                let size = self.amplitude
                    * (1.0 + self.depth * self.level(((t - self.delay_s) * halves_per_s).floor()));
                let angle = TAU * offset_hz * t;
                [(size * angle.cos()) as f32, (size * angle.sin()) as f32]
            })
            .collect()
    }

    fn level(&self, half: f64) -> f64 {
        if self.levels.is_empty() {
            return 0.0;
        }
        let index = half.rem_euclid(self.levels.len() as f64) as usize;
        2.0 * f64::from(self.levels[index]) - 1.0
    }
}

/// Adds a line beside the carrier.
pub(crate) fn add_line(
    samples: &mut [f32],
    sample_rate_hz: f64,
    frequency_hz: f64,
    amplitude: f64,
) {
    for (n, sample) in samples.iter_mut().enumerate() {
        *sample += (amplitude * (2.0 * PI * frequency_hz * n as f64 / sample_rate_hz).cos()) as f32;
    }
}
