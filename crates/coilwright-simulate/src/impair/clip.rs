/// Limits every sample to `±limit_volt` and returns how many were limited.
pub fn clip(samples: &mut [f64], limit_volt: f64) -> usize {
    let mut clipped = 0;
    for sample in samples {
        if sample.abs() > limit_volt {
            *sample = limit_volt.copysign(*sample);
            clipped += 1;
        }
    }
    clipped
}

#[cfg(test)]
mod tests {
    #[test]
    fn limits_both_signs_and_counts() {
        let mut samples = [0.5, -2.0, 1.0, 3.0];
        assert_eq!(super::clip(&mut samples, 1.0), 2);
        assert!(
            samples
                .iter()
                .zip([0.5, -1.0, 1.0, 1.0])
                .all(|(a, b)| (a - b).abs() < 1e-15)
        );
    }
}
