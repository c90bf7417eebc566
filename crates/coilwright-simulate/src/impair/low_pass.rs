use std::f64::consts::PI;

/// Taps for each step of decimation: a transition of about a sixth of the output rate.
const TAPS_PER_STEP: usize = 32;

/// Returns every `factor`th sample after a low-pass: what a recorder with an anti-alias filter would have taken.
///
/// A windowed-sinc filter (Blackman) with its −6 dB point at `cutoff` of the output rate, 0.5 being half of it. The
/// filter's delay is taken out; a factor of 0 counts as 1.
#[must_use]
pub fn decimate(samples: &[f64], factor: usize, cutoff: f64) -> Vec<f64> {
    let factor = factor.max(1);
    let half = TAPS_PER_STEP * factor / 2;
    let taps = windowed_sinc(half, cutoff / factor as f64);
    (0..samples.len().div_ceil(factor))
        .map(|index| {
            let weighted = taps.iter().enumerate().filter_map(|(tap, weight)| {
                let position = (index * factor + tap).checked_sub(half)?;
                samples.get(position).map(|sample| weight * sample)
            });
            weighted.sum()
        })
        .collect()
}

fn windowed_sinc(half: usize, cutoff: f64) -> Vec<f64> {
    let mut taps: Vec<f64> = (0..=2 * half)
        .map(|tap| {
            let time = tap as f64 - half as f64;
            let sinc = if tap == half {
                2.0 * cutoff
            } else {
                (2.0 * PI * cutoff * time).sin() / (PI * time)
            };
            let turn = PI * tap as f64 / half as f64;
            sinc * (0.42 - 0.5 * turn.cos() + 0.08 * (2.0 * turn).cos())
        })
        .collect();
    let sum: f64 = taps.iter().sum();
    for tap in &mut taps {
        *tap /= sum;
    }
    taps
}

#[cfg(test)]
mod tests {
    use super::*;

    fn level(frequency: f64) -> f64 {
        let samples: Vec<f64> = (0..8000)
            .map(|n| (2.0 * PI * frequency * f64::from(n)).cos())
            .collect();
        let kept = decimate(&samples, 8, 0.45);
        let power = kept[100..900]
            .iter()
            .map(|sample| sample * sample)
            .sum::<f64>()
            / 800.0;
        (2.0 * power).sqrt()
    }

    #[test]
    fn passes_below_and_stops_above_half_the_rate() {
        assert!(
            (level(0.3 / 8.0) - 1.0).abs() < 1e-3,
            "{}",
            level(0.3 / 8.0)
        );
        assert!(level(0.65 / 8.0) < 1e-3, "{}", level(0.65 / 8.0));
    }
}
