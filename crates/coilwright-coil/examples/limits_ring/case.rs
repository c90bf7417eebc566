//! One record with known truth, its bound and its fit.

use coilwright_coil::{
    BoundMode, BoundScene, Estimate, FitError, ModeBound, RingDownFit, RingDownOptions,
    fit_ring_down, fit_turn_off, fit_turn_on, mode_bounds,
};
use num_complex::Complex64;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::{PI, TAU};

/// The ring of the report, unless a section says otherwise.
pub(crate) const RESONANCE_HZ: f64 = 125e3;
/// Drive of the edges; the ring is tuned 2 kHz above it.
pub(crate) const DRIVE: Estimate = Estimate::new(125e3, 0.0);
pub(crate) const DETUNED_HZ: f64 = 127e3;
/// Samples between an edge and the record.
pub(crate) const GUARD: f64 = 4.0;
/// Phases over which the bound is taken; trial n uses phase n modulo this.
pub(crate) const PHASES: usize = 48;

/// Which record is made.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Kind {
    /// A free decay of unit amplitude.
    RingDown,
    /// The tail of a series-tuned ring after the drive stops.
    TurnOff,
    /// Its transient after the drive starts.
    TurnOn,
}

/// One cell of a table.
#[derive(Clone, Copy)]
pub(crate) struct Case {
    pub(crate) kind: Kind,
    pub(crate) resonance_hz: f64,
    pub(crate) q: f64,
    pub(crate) snr_db: f64,
    pub(crate) sample_rate_hz: f64,
    pub(crate) length_tau: f64,
    pub(crate) records: usize,
}

impl Case {
    pub(crate) fn new(kind: Kind, q: f64, snr_db: f64) -> Self {
        let (resonance_hz, length_tau) = if kind == Kind::RingDown {
            (RESONANCE_HZ, 5.0)
        } else {
            (DETUNED_HZ, 6.0)
        };
        Self {
            kind,
            resonance_hz,
            q,
            snr_db,
            sample_rate_hz: 1e6,
            length_tau,
            records: 1,
        }
    }

    pub(crate) fn samples(&self) -> usize {
        ((self.length_tau * self.q / (PI * self.resonance_hz) * self.sample_rate_hz) as usize)
            .max(36)
    }

    pub(crate) fn noise_rms(&self) -> f64 {
        (0.5 * 10_f64.powf(-0.1 * self.snr_db)).sqrt()
    }

    /// Phasor of the mode at the record's first sample, and its complex frequency, for one phase of the excitation.
    ///
    /// The edges are those of a series-tuned ring with a stiff source: the charge and current at the edge decay as
    /// `q(t) = Re[(a − ib) e^(st)]`, and the pickup sees `q″`, scaled to a steady state `−sin(ω_d t + φ)`.
    pub(crate) fn mode(&self, phase: f64) -> (Complex64, Complex64) {
        let omega = TAU * self.resonance_hz;
        let alpha = omega / (2.0 * self.q);
        let natural = (omega * omega - alpha * alpha).sqrt();
        let s = Complex64::new(-alpha, natural);
        if self.kind == Kind::RingDown {
            return (Complex64::cis(phase), s);
        }
        let drive = TAU * DRIVE.value;
        let charge = phase.sin() / (drive * drive);
        let current = phase.cos() / drive;
        let tail = Complex64::new(charge, -(current + alpha * charge) / natural) * s * s;
        let at_start = tail * (s * (GUARD / self.sample_rate_hz)).exp();
        (
            if self.kind == Kind::TurnOn {
                -at_start
            } else {
                at_start
            },
            s,
        )
    }

    pub(crate) fn record(&self, phase: f64, random: &mut ChaCha8Rng) -> Vec<f32> {
        let (phasor, s) = self.mode(phase);
        let steady = if self.kind == Kind::TurnOn { 1.0 } else { 0.0 };
        let noise = self.noise_rms();
        (0..self.samples())
            .map(|n| {
                let t = n as f64 / self.sample_rate_hz;
                let line =
                    steady * (TAU * DRIVE.value * (t + GUARD / self.sample_rate_hz) + phase).sin();
                let white: f64 = StandardNormal.sample(random);
                ((phasor * (s * t).exp()).re - line + noise * white) as f32
            })
            .collect()
    }

    pub(crate) fn bound(&self, phase: f64) -> ModeBound {
        let (phasor, _) = self.mode(phase);
        let mode = BoundMode {
            resonance_hz: self.resonance_hz,
            q: self.q,
            amplitude: phasor.norm(),
            phase_rad: phasor.arg(),
        };
        let lines_hz = if self.kind == Kind::TurnOn {
            vec![DRIVE.value]
        } else {
            vec![]
        };
        let scene = BoundScene {
            modes: vec![mode],
            lines_hz,
            sample_rate_hz: self.sample_rate_hz,
            samples: self.samples(),
            noise_rms: self.noise_rms(),
        };
        mode_bounds(&scene).expect("one mode can always be told apart")[0]
    }

    pub(crate) fn fit(&self, records: &[&[f32]]) -> Result<RingDownFit, FitError> {
        let options = RingDownOptions::default();
        match self.kind {
            Kind::RingDown => {
                let zone =
                    coilwright_coil::Zone::containing(self.resonance_hz, self.sample_rate_hz);
                fit_ring_down(
                    records,
                    self.sample_rate_hz,
                    &RingDownOptions { zone, ..options },
                )
            }
            Kind::TurnOff => {
                fit_turn_off(records, self.sample_rate_hz, DRIVE, &options).map(|f| f.ring)
            }
            Kind::TurnOn => {
                fit_turn_on(records, self.sample_rate_hz, DRIVE, &options).map(|f| f.ring)
            }
        }
    }
}
