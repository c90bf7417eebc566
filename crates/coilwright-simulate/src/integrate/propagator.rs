use nalgebra::Complex;

use crate::SimulateError;
use crate::circuit::{Circuit, Configuration, Modes, State, StateSpace};

/// One configuration, ready to be stepped.
#[derive(Clone, Debug)]
pub(super) struct Propagator {
    pub(super) modes: Modes,
    /// Output of each mode.
    output: Vec<Complex<f64>>,
    /// `exp(λ T)` for one sample interval `T`.
    sample_step: Vec<Complex<f64>>,
    /// `d/λ`: minus the modes' rest values for 1 V of drive.
    rest: Vec<Complex<f64>>,
    /// Output at rest for 1 V of drive.
    rest_output: f64,
}

impl Propagator {
    pub(super) fn new(
        circuit: &Circuit,
        configuration: &Configuration,
        interval_s: f64,
        output: State,
    ) -> Result<Self, SimulateError> {
        let space = StateSpace::new(circuit, configuration)?;
        let modes = Modes::new(&space)?;
        let output = modes.output(&space, output);
        let rest: Vec<Complex<f64>> = modes
            .drive
            .iter()
            .zip(&modes.rates)
            .map(|(d, rate)| d / rate)
            .collect();
        let rest_output = -dot(&output, &rest);
        let sample_step = modes
            .rates
            .iter()
            .map(|rate| (rate * interval_s).exp())
            .collect();
        Ok(Self {
            modes,
            output,
            sample_step,
            rest,
            rest_output,
        })
    }

    /// Steps free modes by one sample interval.
    pub(super) fn step_sample(&self, free: &mut [Complex<f64>]) {
        for (mode, step) in free.iter_mut().zip(&self.sample_step) {
            *mode *= step;
        }
    }

    /// Steps free modes by any time.
    pub(super) fn step(&self, free: &mut [Complex<f64>], time_s: f64) {
        for (mode, rate) in free.iter_mut().zip(&self.modes.rates) {
            *mode *= (rate * time_s).exp();
        }
    }

    /// Adds what a jump of the drive by `volt` has become after `time_s`.
    pub(super) fn add_jump(&self, free: &mut [Complex<f64>], volt: f64, time_s: f64) {
        for ((mode, rate), rest) in free.iter_mut().zip(&self.modes.rates).zip(&self.rest) {
            *mode += rest * volt * (rate * time_s).exp();
        }
    }

    /// Output of the free modes alone.
    pub(super) fn free_output(&self, free: &[Complex<f64>]) -> f64 {
        dot(&self.output, free)
    }

    /// Output at rest for a constant drive.
    pub(super) fn constant_output(&self, volt: f64) -> f64 {
        self.rest_output * volt
    }

    /// Modes of the forced motion under an input of `Re(phasor · exp(turn · t))`, at the moment of the given phasor.
    /// `source` says how 1 V of the input excites each mode.
    pub(super) fn forced(
        &self,
        source: &[Complex<f64>],
        phasor: Complex<f64>,
        turn: Complex<f64>,
    ) -> Vec<Complex<f64>> {
        source
            .iter()
            .zip(&self.modes.rates)
            .map(|(d, rate)| {
                d * 0.5 * (phasor / (turn - rate) + phasor.conj() / (turn.conj() - rate))
            })
            .collect()
    }

    /// Phasor of the output under an input of `Re(phasor · exp(turn · t))`; `source` as for [`forced`](Self::forced).
    pub(super) fn forced_output(
        &self,
        source: &[Complex<f64>],
        phasor: Complex<f64>,
        turn: Complex<f64>,
    ) -> Complex<f64> {
        let mut sum = Complex::new(0.0, 0.0);
        for ((c, d), rate) in self.output.iter().zip(source).zip(&self.modes.rates) {
            sum += c * d * 0.5 * phasor / (turn - rate);
            sum += (c * d * 0.5 * phasor.conj() / (turn.conj() - rate)).conj();
        }
        sum
    }
}

fn dot(output: &[Complex<f64>], modes: &[Complex<f64>]) -> f64 {
    output
        .iter()
        .zip(modes)
        .map(|(c, mode)| c.re * mode.re - c.im * mode.im)
        .sum()
}
