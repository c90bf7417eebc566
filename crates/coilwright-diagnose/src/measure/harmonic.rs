//! The drive's third harmonic against its fundamental: low behind a working ring, which filters the drive's square wave.

use std::f64::consts::TAU;

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
    let (mut real, mut imaginary) = (0.0, 0.0);
    for (n, &value) in values.iter().enumerate() {
        let position = n as f64;
        let window = 1.0 - (TAU * (position + 0.5) / length).cos();
        let (sine, cosine) = (TAU * (cycles_per_sample * position).fract()).sin_cos();
        real += f64::from(value) * window * cosine;
        imaginary += f64::from(value) * window * sine;
    }
    2.0 * f64::hypot(real, imaginary) / length
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
