//! The drive's third harmonic against its fundamental: low behind a working ring, which filters the drive's square wave.

use std::f64::consts::TAU;

use num_complex::Complex64;

/// Samples that are used at most.
const LONGEST: usize = 4096;

/// Level of the third harmonic over the fundamental in decibels, or `None` where the sample rate does not show it directly.
pub(super) fn third_harmonic_db(
    values: &[f32],
    sample_rate_hz: f64,
    carrier_hz: f64,
) -> Option<f64> {
    let cycles_per_sample = carrier_hz / sample_rate_hz;
    if 3.0 * cycles_per_sample > 0.48 || values.len() < 512 {
        return None;
    }
    let values = &values[..values.len().min(LONGEST)];
    let fundamental = hann_amplitude(values, cycles_per_sample);
    let third = hann_amplitude(values, 3.0 * cycles_per_sample);
    (fundamental > 0.0).then(|| 20.0 * (third.max(1e-12) / fundamental).log10())
}

/// Amplitude of the tone at `cycles_per_sample` seen through a Hann window.
fn hann_amplitude(values: &[f32], cycles_per_sample: f64) -> f64 {
    let length = values.len() as f64;
    // Both turn by a constant step, which a few thousand products keep to some 1e-13.
    let (step, tone_step) = (TAU / length, TAU * cycles_per_sample);
    let (step, tone_step) = (Complex64::cis(step), Complex64::cis(tone_step));
    let (mut window, mut tone) = (Complex64::cis(TAU * 0.5 / length), Complex64::new(1.0, 0.0));
    let mut sum = Complex64::default();
    for &value in values {
        sum += tone * (f64::from(value) * (1.0 - window.re));
        window *= step;
        tone *= tone_step;
    }
    2.0 * sum.norm() / length
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_known_mixture_gives_its_ratio() {
        let values: Vec<f32> = (0..8192)
            .map(|n| {
                let angle = TAU * 0.125 * f64::from(n);
                (angle.cos() + 0.1 * (3.0 * angle + 0.4).cos()) as f32
            })
            .collect();
        let found = third_harmonic_db(&values, 1e6, 125e3);
        assert!(
            found.is_some_and(|level| (level + 20.0).abs() < 0.01),
            "{found:?}"
        );
    }

    #[test]
    fn a_slow_recording_does_not_show_it() {
        assert_eq!(third_harmonic_db(&[0.0; 4096], 500e3, 125e3), None);
    }
}
