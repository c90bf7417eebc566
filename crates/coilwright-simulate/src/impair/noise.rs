use coilwright_signal::Span;
use rand::RngExt as _;
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;

/// A stretch of stronger broadband noise, as from an ignition or a motor.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct NoiseBurst {
    /// Where it stands.
    pub span: Span,
    /// Its standard deviation.
    pub rms_volt: f64,
}

/// Adds white Gaussian noise of the given standard deviation.
pub fn add_noise(samples: &mut [f64], rms_volt: f64, random: &mut ChaCha8Rng) {
    for sample in samples {
        let normal: f64 = random.sample(StandardNormal);
        *sample += rms_volt * normal;
    }
}

impl NoiseBurst {
    /// Adds the burst; what lies past the end is ignored.
    pub fn add(&self, samples: &mut [f64], random: &mut ChaCha8Rng) {
        let end = (self.span.end as usize).min(samples.len());
        if let Some(stretch) = samples.get_mut(self.span.start as usize..end) {
            add_noise(stretch, self.rms_volt, random);
        }
    }
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng as _;

    use super::*;

    #[test]
    fn noise_has_its_variance_and_repeats_with_its_seed() {
        let draw = |seed| {
            let mut samples = vec![0.0; 100_000];
            add_noise(&mut samples, 0.5, &mut ChaCha8Rng::seed_from_u64(seed));
            samples
        };
        let samples = draw(1);
        let variance = samples.iter().map(|sample| sample * sample).sum::<f64>() / 1e5;
        // Five standard deviations of the estimate, 0.25 √(2/n).
        assert!(
            (variance - 0.25).abs() < 5.0 * 0.25 * (2.0 / 1e5_f64).sqrt(),
            "{variance}"
        );
        assert_eq!(samples, draw(1));
        assert_ne!(samples, draw(2));
    }
}
