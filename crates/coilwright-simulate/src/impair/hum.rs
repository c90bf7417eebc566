use serde::{Deserialize, Serialize};

/// Mains hum: a fundamental and its harmonics, the `n`th `n` times weaker.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Hum {
    /// 50 Hz or 60 Hz.
    pub frequency_hz: f64,
    /// Amplitude of the fundamental.
    pub amplitude_volt: f64,
    /// How many partials, the fundamental included.
    pub partials: u32,
    /// Phase of the fundamental at the first sample.
    pub phase_rad: f64,
}

impl Hum {
    /// Adds the hum to the samples.
    pub fn add(&self, samples: &mut [f64], sample_rate_hz: f64) {
        for partial in 1..=self.partials {
            super::Line {
                frequency_hz: self.frequency_hz * f64::from(partial),
                amplitude_volt: self.amplitude_volt / f64::from(partial),
                phase_rad: self.phase_rad * f64::from(partial),
                swing_hz: 0.0,
                swing_rate_hz: 0.0,
            }
            .add(samples, sample_rate_hz);
        }
    }
}
