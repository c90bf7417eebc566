use std::f64::consts::TAU;

/// Takes out what is slower than `cutoff_hz` (−3 dB, one pole): the coupling capacitor of a sound card.
pub fn high_pass(samples: &mut [f64], cutoff_hz: f64, sample_rate_hz: f64) {
    let share = 1.0 - (-TAU * cutoff_hz / sample_rate_hz).exp();
    let mut slow_volt = 0.0;
    for sample in samples {
        slow_volt += share * (*sample - slow_volt);
        *sample -= slow_volt;
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_step_decays_with_the_time_constant() {
        let mut samples = vec![1.0; 10_000];
        super::high_pass(&mut samples, 10.0, 10_000.0);
        let time_constant = 10_000.0 / (std::f64::consts::TAU * 10.0);
        let expected = (-(1_001.0 / time_constant)).exp();
        assert!(
            (samples[1_000] - expected).abs() < 1e-9,
            "{} {expected}",
            samples[1_000]
        );
    }
}
