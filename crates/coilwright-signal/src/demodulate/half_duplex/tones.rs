use std::f64::consts::TAU;

use num_complex::{Complex32, Complex64};

use crate::demodulate::rate::ComplexSums;

/// Shares of the nominal frequency at which a tone is looked for.
const SPREAD: f64 = 0.012;
/// Frequencies that are tried over the spread, odd.
const TRIALS: usize = 13;
/// Windows to a bit when tones are looked for.
const WINDOWS: f64 = 3.0;

/// The reply at a low rate, round the middle of the two tones.
pub(super) struct Reply {
    pub values: Vec<Complex32>,
    /// Values a second.
    pub rate_hz: f64,
    /// Frequency in the air that the values show as 0 Hz.
    pub middle_hz: f64,
}

/// Integrals of the reply against one tone.
pub(super) struct Tone {
    pub hz: f64,
    sums: ComplexSums,
    rate_hz: f64,
}

impl Reply {
    /// The integrals against the tone at `hz`.
    pub(super) fn tone(&self, hz: f64) -> Tone {
        let angle = TAU * (hz - self.middle_hz) / self.rate_hz;
        let turn = Complex64::cis(-angle);
        // Value k stands for its middle.
        let mut phasor = Complex64::cis(-0.5 * angle);
        let mixed: Vec<Complex32> = self
            .values
            .iter()
            .map(|value| {
                let mixed = value * Complex32::new(phasor.re as f32, phasor.im as f32);
                phasor *= turn;
                mixed
            })
            .collect();
        Tone {
            hz,
            sums: ComplexSums::of(&mixed),
            rate_hz: self.rate_hz,
        }
    }

    /// Length in seconds.
    pub(super) fn seconds(&self) -> f64 {
        self.values.len() as f64 / self.rate_hz
    }

    /// The tone near `nominal_hz` that windows of 16 of its cycles show most purely: the fourth moment of what they hold
    /// favours the few windows that hold this tone alone.
    pub(super) fn find(&self, nominal_hz: f64, cycles: f64) -> Tone {
        let step = 2.0 * SPREAD / (TRIALS - 1) as f64;
        let at = |k: usize| nominal_hz * (1.0 - SPREAD + k as f64 * step);
        let purity = |hz: f64| {
            let tone = self.tone(hz);
            let window_s = cycles / hz;
            let count = ((self.seconds() / window_s - 1.0) * WINDOWS).max(0.0) as usize;
            (0..count)
                .map(|k| {
                    let start = k as f64 * window_s / WINDOWS;
                    tone.over(start, start + window_s).norm_sqr().powi(2)
                })
                .sum::<f64>()
        };
        let scores: Vec<f64> = (0..TRIALS).map(|k| purity(at(k))).collect();
        let best = (1..TRIALS - 1)
            .max_by(|&a, &b| scores[a].total_cmp(&scores[b]))
            .unwrap_or(TRIALS / 2);
        let curvature = scores[best - 1] - 2.0 * scores[best] + scores[best + 1];
        let offset = if curvature < 0.0 {
            (0.5 * (scores[best - 1] - scores[best + 1]) / curvature).clamp(-1.0, 1.0)
        } else {
            0.0
        };
        self.tone(at(best) + offset * step * nominal_hz)
    }
}

impl Tone {
    /// The mean of the reply against the tone between two times, its phase that of the oscillation at `start_s`.
    pub(super) fn over(&self, start_s: f64, end_s: f64) -> Complex64 {
        let at = |time_s: f64| self.sums.up_to(time_s * self.rate_hz);
        let mean = (at(end_s) - at(start_s)) / ((end_s - start_s) * self.rate_hz);
        // The integrals count the tone's phase from time 0, the reply that of the middle frequency.
        let turns = self.hz * start_s;
        mean * Complex64::cis(TAU * turns.fract())
    }
}
