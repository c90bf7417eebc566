/// Rounds samples to the steps of an integer format of `bits` and returns them as fractions of full scale.
///
/// The format spans `±full_scale_volt` with a step of `2^(1 − bits)` of full scale; values beyond are limited to its
/// largest and smallest code.
#[must_use]
pub fn quantise(samples: &[f64], full_scale_volt: f64, bits: u32) -> Vec<f32> {
    let codes = f64::from(bits.clamp(1, 24) - 1).exp2();
    samples
        .iter()
        .map(|sample| {
            let code = (sample / full_scale_volt * codes)
                .round()
                .clamp(-codes, codes - 1.0);
            (code / codes) as f32
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounds_to_steps_and_limits_to_codes() {
        let steps = quantise(&[0.0, 0.49, 0.51, 5.0, -5.0], 4.0, 3);
        assert_eq!(steps, [0.0, 0.0, 0.25, 0.75, -1.0]);
    }

    #[test]
    fn twenty_four_bits_survive_in_f32() {
        let code = 0.123_456_7;
        let stored = f64::from(quantise(&[code], 1.0, 24)[0]);
        assert!(
            (stored - code).abs() <= 0.5 / f64::from(1 << 23),
            "{stored}"
        );
    }
}
