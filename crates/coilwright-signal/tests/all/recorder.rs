//! A recorder with an anti-alias filter, and what it samples of a carrier whose load is switched.

use std::f64::consts::{PI, TAU};

use num_complex::Complex64;

/// The response is halved here, in parts of the sample rate. With the span it is whole up to 0.45, and 74 dB down from 0.5
/// on: nothing folds.
const CUTOFF: f64 = 0.475;
/// The filter reaches this many samples to both sides.
const SPAN: usize = 56;
/// Steps of the table to a sample: between them it is linear to 1e-5.
const STEPS: usize = 64;

/// The level of a load, 1 or −1, from one instant on.
#[derive(Clone, Copy)]
pub(crate) struct Switched {
    /// In samples.
    pub at: f64,
    pub level: i8,
}

/// A sinc under a Blackman window, and its answer to a carrier that is switched on.
///
/// Of the level s(t) on the carrier e^(jωt) the filter h leaves e^(jωt) ∫ h(v) e^(−jωv) s(t − v) dv. A step of s at time τ
/// leaves G(t − τ), with G(x) = ∫ h(v) e^(−jωv) dv up to x, exactly, wherever between two samples it is.
pub(crate) struct Recorder {
    /// G from −SPAN to SPAN.
    step_response: Vec<Complex64>,
}

impl Recorder {
    /// The recorder of a carrier of `frequency` cycles per sample.
    pub(crate) fn new(frequency: f64) -> Self {
        let count = 2 * SPAN * STEPS;
        let mut sum = Complex64::default();
        let mut step_response = vec![sum];
        for cell in 0..count {
            let v = (cell as f64 + 0.5) / STEPS as f64 - SPAN as f64;
            sum += Complex64::cis(-TAU * frequency * v) * filter(v);
            step_response.push(sum);
        }
        let whole = step_response[count];
        for response in &mut step_response {
            *response /= whole;
        }
        Self { step_response }
    }

    /// What is left of the load at each of the samples, relative to the carrier, when all that happens from before the
    /// first sample on is `switched`, in order.
    pub(crate) fn samples(&self, switched: &[Switched], count: usize) -> Vec<Complex64> {
        let (mut oldest, mut level) = (0, 0_i8);
        (0..count)
            .map(|n| {
                let now = n as f64;
                // What the filter has seen the last of stands for good.
                while let Some(next) = switched.get(oldest)
                    && now - next.at >= SPAN as f64
                {
                    level = next.level;
                    oldest += 1;
                }
                let (mut before, mut sum) = (level, Complex64::from(f64::from(level)));
                for step in &switched[oldest..] {
                    if step.at - now >= SPAN as f64 {
                        break;
                    }
                    sum += self.after(now - step.at) * f64::from(step.level - before);
                    before = step.level;
                }
                sum
            })
            .collect()
    }

    /// G(`x`), |x| < SPAN.
    fn after(&self, x: f64) -> Complex64 {
        let position = (x + SPAN as f64) * STEPS as f64;
        let below = (position as usize).min(self.step_response.len() - 2);
        let (left, right) = (self.step_response[below], self.step_response[below + 1]);
        left + (right - left) * (position - below as f64)
    }
}

/// The filter's response `v` samples from its middle, but for a factor.
fn filter(v: f64) -> f64 {
    let x = TAU * CUTOFF * v;
    let sinc = if x.abs() < 1e-9 { 1.0 } else { x.sin() / x };
    let turn = PI * v / SPAN as f64;
    sinc * (0.42 + 0.5 * turn.cos() + 0.08 * (2.0 * turn).cos())
}
