use std::f64::consts::TAU;

use serde::{Deserialize, Serialize};

/// A narrow line, such as a harmonic of a switch-mode converter, whose frequency may swing slowly.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// Mean frequency; above half the sampling rate it aliases as it would in a recorder without a filter.
    pub frequency_hz: f64,
    /// Amplitude.
    pub amplitude_volt: f64,
    /// Phase at the first sample.
    pub phase_rad: f64,
    /// Peak deviation of the frequency.
    pub swing_hz: f64,
    /// How often a second the frequency swings; without effect when `swing_hz` is 0.
    pub swing_rate_hz: f64,
}

impl Line {
    /// Adds the line to the samples.
    pub fn add(&self, samples: &mut [f64], sample_rate_hz: f64) {
        let swings = self.swing_hz != 0.0 && self.swing_rate_hz > 0.0;
        for (index, sample) in samples.iter_mut().enumerate() {
            let time_s = index as f64 / sample_rate_hz;
            let mut phase = TAU * (self.frequency_hz * time_s).fract() + self.phase_rad;
            if swings {
                phase +=
                    self.swing_hz / self.swing_rate_hz * (TAU * self.swing_rate_hz * time_s).sin();
            }
            *sample += self.amplitude_volt * phase.cos();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_has_its_power_and_an_aliased_line_its_image() {
        let line = |frequency_hz| {
            let mut samples = vec![0.0; 10_000];
            let line = Line {
                frequency_hz,
                amplitude_volt: 2.0,
                phase_rad: 0.0,
                swing_hz: 0.0,
                swing_rate_hz: 0.0,
            };
            line.add(&mut samples, 1e6);
            samples
        };
        let power = line(123_000.0)
            .iter()
            .map(|sample| sample * sample)
            .sum::<f64>()
            / 1e4;
        assert!((power - 2.0).abs() < 1e-9, "{power}");
        let worst = line(123_000.0)
            .iter()
            .zip(line(877_000.0))
            .fold(0.0_f64, |worst, (a, b)| worst.max((a - b).abs()));
        assert!(worst < 1e-8, "{worst}");
    }
}
