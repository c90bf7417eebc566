use std::f64::consts::TAU;

use num_complex::{Complex32, Complex64};

use crate::dsp::ComplexSums;

/// A tone is off its nominal frequency by this share at most.
const SPREAD: f64 = 0.014;
/// Windows to a bit when tones are looked for.
const WINDOWS: usize = 3;
/// A window of the other tone holds less than this share of it of a tone: over 16 cycles one leaks 0.04 into the other.
const LEAST_OF_OTHER: f64 = 0.5;

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

    /// The tone near the frequency of `nominal` that windows of 16 of its cycles show.
    ///
    /// Where one window follows upon another and both hold this tone, the phase goes on by 16 turns of its true frequency.
    /// What a stronger one leaks into the others does not count.
    pub(super) fn find(&self, nominal: &Tone, other: &Tone, cycles: f64) -> Tone {
        let window_s = cycles / nominal.hz;
        let step_s = window_s / WINDOWS as f64;
        let count = ((self.seconds() - window_s) / step_s).max(0.0) as usize;
        let seen: Vec<Complex64> = (0..count)
            .map(|k| {
                let start_s = k as f64 * step_s;
                let [own, other] =
                    [nominal, other].map(|tone| tone.over(start_s, start_s + window_s));
                let is_own = own.norm_sqr() > LEAST_OF_OTHER * other.norm_sqr();
                if is_own { own } else { Complex64::default() }
            })
            .collect();
        let pairs = seen.iter().zip(seen.iter().skip(WINDOWS));
        let turn: Complex64 = pairs.map(|(before, after)| after * before.conj()).sum();
        let correction = (turn.arg() / (TAU * cycles)).clamp(-SPREAD, SPREAD);
        self.tone(nominal.hz * (1.0 + correction))
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
