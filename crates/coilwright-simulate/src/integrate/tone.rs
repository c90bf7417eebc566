use std::f64::consts::{FRAC_PI_2, TAU};

use nalgebra::{Complex, DVector};

use super::propagator::Propagator;
use crate::SimulateError;
use crate::error::{require, require_not_negative, require_positive};

/// A tone with which a key drives its own coil: its output stage is a voltage behind the load that its switch selects,
/// `amplitude · exp(−decay (t − start)) · sin(2π frequency (t − start))`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tone {
    /// Which key.
    pub key: usize,
    /// When the tone begins, at phase 0.
    pub start_s: f64,
    /// When it ends.
    pub end_s: f64,
    /// Its frequency.
    pub frequency_hz: f64,
    /// Its amplitude at the start.
    pub amplitude_volt: f64,
    /// Rate of the amplitude's fall.
    pub decay_per_s: f64,
}

impl Tone {
    pub(super) fn validate(&self, keys: usize) -> Result<(), SimulateError> {
        require(
            self.key < keys,
            "tones.key",
            self.key as f64,
            "the index of a key of the circuit",
        )?;
        require_positive("tones.frequency_hz", self.frequency_hz)?;
        require_not_negative("tones.amplitude_volt", self.amplitude_volt)?;
        require_not_negative("tones.decay_per_s", self.decay_per_s)?;
        require(
            self.start_s.is_finite() && self.end_s > self.start_s && self.end_s.is_finite(),
            "tones.start_s",
            self.start_s,
            "a start before the end",
        )
    }

    /// The rate of its motion: `Re(phasor · exp(rate t))`.
    fn rate(&self) -> Complex<f64> {
        Complex::new(-self.decay_per_s, TAU * self.frequency_hz)
    }

    fn phasor(&self, time_s: f64) -> Complex<f64> {
        let since_s = time_s - self.start_s;
        let size = self.amplitude_volt * (-self.decay_per_s * since_s).exp();
        Complex::from_polar(size, TAU * self.frequency_hz * since_s - FRAC_PI_2)
    }

    /// The motion that the tone forces on the circuit at a moment.
    pub(super) fn energy(&self, propagator: &Propagator, time_s: f64) -> DVector<f64> {
        let Some(source) = propagator.modes.keys.get(self.key) else {
            return propagator.modes.to_energy(&[]);
        };
        let forced = propagator.forced(source, self.phasor(time_s), self.rate());
        propagator.modes.to_energy(&forced)
    }

    /// Adds the output that the tone forces to samples from index `first` on.
    pub(super) fn add_output(
        &self,
        propagator: &Propagator,
        interval_s: f64,
        first: usize,
        samples: &mut [f64],
    ) {
        let Some(source) = propagator.modes.keys.get(self.key) else {
            return;
        };
        let unit = propagator.forced_output(source, Complex::new(1.0, 0.0), self.rate());
        for (index, sample) in (first..).zip(samples) {
            *sample += (unit * self.phasor(index as f64 * interval_s)).re;
        }
    }
}
