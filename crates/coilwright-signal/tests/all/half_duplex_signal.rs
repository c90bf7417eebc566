//! A charge burst and the half-duplex reply after it, from the formula.

use std::f64::consts::TAU;

use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// The reply: 16 cycles of each bit's tone, one after the other, at falling amplitude.
#[derive(Clone)]
pub(crate) struct HalfDuplex {
    pub bits: Vec<u8>,
    pub sample_rate_hz: f64,
    /// Tones for 0 and for 1.
    pub tones_hz: [f64; 2],
    /// Amplitude of each tone at the start of the reply; the field's is 1.
    pub amplitudes: [f64; 2],
    /// By how much the amplitude falls over the reply, in decibels.
    pub fall_db: f64,
    /// Phase of the 1 against the 0, as the ring leaves it.
    pub phase_between_rad: f64,
    pub field_hz: f64,
    /// Time constant of the ring after the field went off.
    pub ring_s: f64,
    /// From the end of the field to the reply.
    pub delay_s: f64,
    pub noise_rms: f64,
    pub seed: u64,
}

impl HalfDuplex {
    pub(crate) fn new(bits: Vec<u8>) -> Self {
        Self {
            bits,
            sample_rate_hz: 1e6,
            tones_hz: [134_260.0, 124_130.0],
            amplitudes: [0.006, 0.003],
            fall_db: 3.0,
            phase_between_rad: 0.9,
            field_hz: 134_200.0,
            ring_s: 60e-6,
            delay_s: 1.5e-3,
            noise_rms: 1e-4,
            seed: 1,
        }
    }

    /// When each bit begins, counted from the start of the reply, and when the last one ends.
    pub(crate) fn bit_starts_s(&self) -> Vec<f64> {
        let mut at = 0.0;
        let lengths = self
            .bits
            .iter()
            .map(|&bit| 16.0 / self.tones_hz[usize::from(bit)]);
        std::iter::once(0.0)
            .chain(lengths.map(|length| {
                at += length;
                at
            }))
            .collect()
    }

    /// Amplitude of a bit, at the middle of it.
    pub(crate) fn amplitude(&self, bit: usize, starts_s: &[f64]) -> f64 {
        let middle_s = 0.5 * (starts_s[bit] + starts_s[bit + 1]);
        let whole_s = starts_s[starts_s.len() - 1];
        self.amplitudes[usize::from(self.bits[bit])]
            * 10.0_f64.powf(-self.fall_db / 20.0 * middle_s / whole_s)
    }

    /// The pause from the end of the field on.
    pub(crate) fn pause(&self, seconds: f64) -> Vec<f32> {
        let mut random = ChaCha8Rng::seed_from_u64(self.seed);
        let phase = random.random::<f64>() * TAU;
        let starts_s = self.bit_starts_s();
        let mut bit = 0;
        (0..(seconds * self.sample_rate_hz) as usize)
            .map(|n| {
                let t = n as f64 / self.sample_rate_hz;
                let since = t - self.delay_s;
                while bit < self.bits.len() && since >= starts_s[bit + 1] {
                    bit += 1;
                }
                let mut value = (-t / self.ring_s).exp() * (TAU * self.field_hz * t).cos();
                if since >= 0.0 && bit < self.bits.len() {
                    let sent = usize::from(self.bits[bit]);
                    let angle = TAU * self.tones_hz[sent] * (since - starts_s[bit])
                        + phase
                        + self.phase_between_rad * sent as f64;
                    value += self.amplitude(bit, &starts_s) * angle.cos();
                }
                let deviate: f64 = StandardNormal.sample(&mut random);
                (value + self.noise_rms * deviate) as f32
            })
            .collect()
    }
}
