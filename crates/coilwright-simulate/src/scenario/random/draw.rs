use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::scenario::Fault;

/// Seeded draws.
pub(super) struct Draw(ChaCha8Rng);

impl Draw {
    /// One stream for each fault, so that the same seed gives unlike circuits for unlike faults.
    pub(super) fn new(seed: u64, fault: Fault) -> Self {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        random.set_stream(1 + fault as u64);
        Self(random)
    }

    /// A number between two limits.
    pub(super) fn uniform(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.random::<f64>()
    }

    /// A number between two limits above 0, evenly over the decades.
    pub(super) fn log_uniform(&mut self, low: f64, high: f64) -> f64 {
        self.uniform(low.ln(), high.ln()).exp()
    }

    /// Plus or minus one.
    pub(super) fn sign(&mut self) -> f64 {
        if self.chance(0.5) { 1.0 } else { -1.0 }
    }

    /// True with a probability.
    pub(super) fn chance(&mut self, probability: f64) -> bool {
        self.0.random::<f64>() < probability
    }

    /// A whole number, both limits included.
    pub(super) fn whole(&mut self, low: u64, high: u64) -> u64 {
        self.0.random_range(low..=high)
    }

    /// One of several values, by weight.
    pub(super) fn pick<T: Copy>(&mut self, choices: &[(T, f64)]) -> T {
        let total: f64 = choices.iter().map(|choice| choice.1).sum();
        let mut left = self.uniform(0.0, total);
        for &(value, weight) in choices {
            left -= weight;
            if left < 0.0 {
                return value;
            }
        }
        choices[choices.len() - 1].0
    }
}
