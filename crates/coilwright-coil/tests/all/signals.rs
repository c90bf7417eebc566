//! Records with known truth, made from the circuit equations.

use num_complex::Complex64;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::TAU;

/// A free decay `A e^(−αt) cos(ω_d t + φ)` of undamped resonance and Q, at unit amplitude.
pub(crate) fn decay(resonance_hz: f64, q: f64, phase: f64) -> impl Fn(f64) -> f64 {
    let omega = TAU * resonance_hz;
    let alpha = omega / (2.0 * q);
    let damped = (omega * omega - alpha * alpha).sqrt();
    move |t| (-alpha * t).exp() * (damped * t + phase).cos()
}

/// Pickup voltage of a series-tuned ring after a stiff source at `drive_hz` is shorted, on a steady state `−sin(ωt + φ)`.
pub(crate) fn turn_off(
    resonance_hz: f64,
    q: f64,
    drive_hz: f64,
    phase: f64,
) -> impl Fn(f64) -> f64 {
    let omega = TAU * resonance_hz;
    let alpha = omega / (2.0 * q);
    let natural = (omega * omega - alpha * alpha).sqrt();
    let drive = TAU * drive_hz;
    // Charge and current at the edge go on as q(t) = Re[(a − ib) e^(st)]; the pickup sees q″.
    let charge = phase.sin() / (drive * drive);
    let current = phase.cos() / drive;
    let s = Complex64::new(-alpha, natural);
    let phasor = Complex64::new(charge, -(current + alpha * charge) / natural) * s * s;
    move |t| (phasor * (s * t).exp()).re
}

/// The same ring after the source is switched on at rest.
pub(crate) fn turn_on(resonance_hz: f64, q: f64, drive_hz: f64, phase: f64) -> impl Fn(f64) -> f64 {
    let tail = turn_off(resonance_hz, q, drive_hz, phase);
    move |t| -(TAU * drive_hz * t + phase).sin() - tail(t)
}

pub(crate) fn noise_rms(snr_db: f64) -> f64 {
    (0.5 * 10_f64.powf(-0.1 * snr_db)).sqrt()
}

/// Seeded white noise on samples of a function of time.
pub(crate) struct Sampler {
    random: ChaCha8Rng,
}

impl Sampler {
    pub(crate) fn new(seed: u64) -> Self {
        Self {
            random: ChaCha8Rng::seed_from_u64(seed),
        }
    }

    pub(crate) fn record(
        &mut self,
        wave: impl Fn(f64) -> f64,
        sample_rate_hz: f64,
        samples: usize,
        noise_rms: f64,
    ) -> Vec<f32> {
        (0..samples)
            .map(|n| {
                let white: f64 = StandardNormal.sample(&mut self.random);
                (wave(n as f64 / sample_rate_hz) + noise_rms * white) as f32
            })
            .collect()
    }
}

/// Samples without noise.
pub(crate) fn clean(wave: impl Fn(f64) -> f64, sample_rate_hz: f64, samples: usize) -> Vec<f32> {
    (0..samples)
        .map(|n| wave(n as f64 / sample_rate_hz) as f32)
        .collect()
}

/// Seeded standard normal numbers.
pub(crate) struct Gauss {
    random: ChaCha8Rng,
}

impl Gauss {
    pub(crate) fn new(seed: u64) -> Self {
        Self {
            random: ChaCha8Rng::seed_from_u64(seed),
        }
    }

    pub(crate) fn real(&mut self) -> f64 {
        StandardNormal.sample(&mut self.random)
    }

    /// Unit variance in each part.
    pub(crate) fn complex(&mut self) -> Complex64 {
        Complex64::new(self.real(), self.real())
    }
}
