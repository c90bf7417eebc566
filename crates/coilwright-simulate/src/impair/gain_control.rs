use serde::{Deserialize, Serialize};

/// Automatic gain control: a peak follower whose reciprocal is the gain.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct GainControl {
    /// The peak that the gain aims for.
    pub target_volt: f64,
    /// Largest gain, reached in silence.
    pub largest_gain: f64,
    /// Time constant with which the gain falls when the signal grows.
    pub attack_s: f64,
    /// Time constant with which the gain rises when the signal shrinks.
    pub release_s: f64,
}

impl GainControl {
    /// Applies the gain to the samples.
    pub fn apply(&self, samples: &mut [f64], sample_rate_hz: f64) {
        let attack = 1.0 - (-1.0 / (self.attack_s * sample_rate_hz)).exp();
        let release = 1.0 - (-1.0 / (self.release_s * sample_rate_hz)).exp();
        let mut peak_volt = 0.0_f64;
        for sample in samples {
            let magnitude = sample.abs();
            let speed = if magnitude > peak_volt {
                attack
            } else {
                release
            };
            peak_volt += speed * (magnitude - peak_volt);
            *sample *= (self.target_volt / peak_volt).min(self.largest_gain);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brings_weak_and_strong_tones_to_the_same_peak() {
        let control = GainControl {
            target_volt: 0.5,
            largest_gain: 1e4,
            attack_s: 1e-5,
            release_s: 5e-2,
        };
        let peak = |amplitude: f64| {
            let mut tone: Vec<f64> = (0..200_000)
                .map(|n| amplitude * (f64::from(n) * 0.785).sin())
                .collect();
            control.apply(&mut tone, 1e6);
            tone[150_000..]
                .iter()
                .fold(0.0_f64, |peak, sample| peak.max(sample.abs()))
        };
        let (weak, strong) = (peak(0.01), peak(1.0));
        assert!((weak / strong - 1.0).abs() < 1e-6, "{weak} {strong}");
        assert!((0.5..0.6).contains(&weak), "{weak}");
    }
}
