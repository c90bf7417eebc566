use std::f64::consts::PI;

/// Shape of the window: about 53 dB of stop-band attenuation.
const KAISER_BETA: f64 = 5.0;
/// A linear-phase low-pass filter: a sinc under a Kaiser window, with unit gain at 0 Hz.
#[derive(Clone, Debug, PartialEq)]
pub struct LowPass {
    taps: Vec<f64>,
}

impl LowPass {
    /// A filter of `length` taps whose response is halved at `cutoff`, in cycles per sample.
    #[must_use]
    pub fn new(cutoff: f64, length: usize) -> Self {
        let length = length.max(1);
        let centre = (length as f64 - 1.0) / 2.0;
        let half = length as f64 / 2.0;
        let mut taps: Vec<f64> = (0..length)
            .map(|n| {
                let t = n as f64 - centre;
                let ratio = t / half;
                sinc(2.0 * cutoff * t)
                    * bessel_i0(KAISER_BETA * (1.0 - ratio * ratio).max(0.0).sqrt())
            })
            .collect();
        let sum: f64 = taps.iter().sum();
        for tap in &mut taps {
            *tap /= sum;
        }
        Self { taps }
    }

    /// Returns the taps, first to last.
    #[must_use]
    pub fn taps(&self) -> &[f64] {
        &self.taps
    }

    /// Returns the delay in input samples, which is the same at every frequency.
    #[must_use]
    pub fn delay_samples(&self) -> f64 {
        (self.taps.len() as f64 - 1.0) / 2.0
    }

    /// Returns the gain at `frequency`, in cycles per input sample.
    #[must_use]
    pub fn gain(&self, frequency: f64) -> f64 {
        let step = 2.0 * PI * frequency;
        let centre = self.delay_samples();
        // cos((n + 1) x) = 2 cos x cos(n x) − cos((n − 1) x)
        let twice = 2.0 * step.cos();
        let (mut before, mut now) = ((step * (centre + 1.0)).cos(), (step * centre).cos());
        self.taps
            .iter()
            .map(|tap| {
                let term = tap * now;
                (before, now) = (now, twice * now - before);
                term
            })
            .sum()
    }
}

/// sin(πx)/(πx).
fn sinc(x: f64) -> f64 {
    if x.abs() < 1e-9 {
        1.0
    } else {
        (PI * x).sin() / (PI * x)
    }
}

/// Modified Bessel function of order 0, by its power series.
fn bessel_i0(x: f64) -> f64 {
    let quarter = x * x / 4.0;
    let (mut term, mut sum) = (1.0, 1.0);
    for k in 1..40 {
        term *= quarter / f64::from(k * k);
        sum += term;
        if term < f64::EPSILON / 4.0 * sum {
            break;
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bessel_function_matches_its_table() {
        // Abramowitz and Stegun, table 9.8: e^-x I0(x) at 5 is 0.18354 08126.
        approx::assert_abs_diff_eq!(
            bessel_i0(5.0) * (-5.0_f64).exp(),
            0.183_540_812_6,
            epsilon = 1e-10
        );
    }

    #[test]
    fn it_passes_the_middle_and_stops_what_would_fold_onto_it() {
        let filter = LowPass::new(0.4 / 16.0, 64);
        approx::assert_abs_diff_eq!(filter.gain(0.0), 1.0, epsilon = 1e-12);
        approx::assert_abs_diff_eq!(filter.gain(0.4 / 16.0), 0.5, epsilon = 0.02);
        for k in 0..100 {
            let frequency = (0.85 + f64::from(k) * 0.05) / 16.0;
            assert!(filter.gain(frequency).abs() < 4e-3, "{frequency}");
        }
    }
}
