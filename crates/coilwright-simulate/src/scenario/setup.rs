use coilwright_signal::capture::Capture;
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;

use super::{Fault, KeyChoice, Recorder, Truth};
use crate::SimulateError;
use crate::circuit::{Circuit, State};
use crate::error::require;
use crate::integrate::{self, Change, Drive, Schedule, SwitchEvent};
use crate::modulate::KeySignal;

/// Everything that makes one capture.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Driver, ring, keys, loops and pickup.
    pub circuit: Circuit,
    /// The driver's voltage over time.
    pub drive: Drive,
    /// What each key of the circuit sends; `None` for a mute key.
    pub signals: Vec<Option<KeySignal>>,
    /// When the joint in series with the ring is broken: `(start, end)` in seconds.
    pub joint_breaks_s: Vec<(f64, f64)>,
    /// The recorder.
    pub recorder: Recorder,
}

/// A setup with its fault, its seed and perhaps a healthy twin.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    /// What is wrong.
    pub fault: Fault,
    /// Seed of the noise.
    pub seed: u64,
    /// What is captured.
    pub setup: Setup,
    /// The same ring when it was known to be good.
    pub reference: Option<Setup>,
}

/// A capture, its reference and what is true about them.
#[derive(Clone, Debug)]
pub struct Simulated {
    /// The capture.
    pub capture: Capture,
    /// The capture of the reference.
    pub reference: Option<Capture>,
    /// What is true about the capture.
    pub truth: Truth,
}

impl Scenario {
    /// Returns a scenario with the fault, drawn from realistic circuits, keys, patterns and recorders.
    ///
    /// ```
    /// use coilwright_simulate::{Fault, Scenario};
    /// let simulated = Scenario::random(Fault::KeySilent, 7).simulate()?;
    /// assert!(simulated.capture.samples.len() > 10_000);
    /// assert_eq!(simulated.truth.fault, Fault::KeySilent);
    /// # Ok::<(), coilwright_simulate::SimulateError>(())
    /// ```
    #[must_use]
    pub fn random(fault: Fault, seed: u64) -> Self {
        super::random::scenario(fault, seed)
    }

    /// As [`random`](Self::random), with what the key is to be.
    ///
    /// ```
    /// use coilwright_simulate::scenario::{KeyChoice, KeyModulation};
    /// use coilwright_simulate::{Fault, Scenario};
    /// let choice = KeyChoice { modulation: Some(KeyModulation::Psk), ..KeyChoice::default() };
    /// let truth = Scenario::random_with_key(Fault::None, 7, &choice)?.simulate()?.truth;
    /// assert_eq!(truth.keys[0].modulation, "psk");
    /// # Ok::<(), coilwright_simulate::SimulateError>(())
    /// ```
    ///
    /// # Errors
    /// [`SimulateError::KeyChoice`] when the choices do not go together, [`SimulateError::NeverReadable`] when no lock
    /// that is drawn lets such a key be read, [`SimulateError::InvalidValue`] for a number that makes no sense.
    pub fn random_with_key(
        fault: Fault,
        seed: u64,
        choice: &KeyChoice,
    ) -> Result<Self, SimulateError> {
        choice.validate(fault)?;
        super::random::scenario_with_key(fault, seed, choice)
    }

    /// Returns the capture, the reference where there is one, and the truth.
    ///
    /// # Errors
    /// When a value makes no sense or the circuit cannot be stepped.
    pub fn simulate(&self) -> Result<Simulated, SimulateError> {
        let mut random = ChaCha8Rng::seed_from_u64(self.seed);
        let capture = self.setup.record(&mut random)?;
        let reference = match &self.reference {
            Some(setup) => Some(setup.record(&mut random)?),
            None => None,
        };
        let truth = Truth::new(self.fault, self.seed, &self.setup)?;
        Ok(Simulated {
            capture,
            reference,
            truth,
        })
    }
}

impl Setup {
    /// Returns the capture of this setup with noise from `random`.
    ///
    /// # Errors
    /// When a value makes no sense or the circuit cannot be stepped.
    pub fn record(&self, random: &mut ChaCha8Rng) -> Result<Capture, SimulateError> {
        self.recorder.validate()?;
        let oversampling = self.recorder.oversampling();
        let trace = integrate::simulate(
            &self.circuit,
            &self.schedule()?,
            self.recorder.true_rate_hz() * oversampling as f64,
            self.recorder.length_samples() * oversampling,
            State::PickupVoltage,
        )?;
        Ok(self.recorder.record(trace.samples, random))
    }

    /// Returns every switch event of keys and joint.
    ///
    /// # Errors
    /// When there are not as many signals as keys, or a key's clocks a bit make no sense.
    pub fn schedule(&self) -> Result<Schedule, SimulateError> {
        require(
            self.signals.len() == self.circuit.keys.len(),
            "signals",
            self.signals.len() as f64,
            "one signal, or none, for each key of the circuit",
        )?;
        let mut switches = Vec::new();
        let mut tones = Vec::new();
        for (index, signal) in self.signals.iter().enumerate() {
            if let Some(signal) = signal {
                switches.extend(signal.events(index, &self.drive)?);
                tones.extend(signal.tones(index, &self.drive)?);
            }
        }
        for &(start_s, end_s) in &self.joint_breaks_s {
            switches.push(SwitchEvent {
                time_s: start_s,
                change: Change::JointBreaks,
            });
            switches.push(SwitchEvent {
                time_s: end_s,
                change: Change::JointCloses,
            });
        }
        Ok(Schedule {
            drive: self.drive.clone(),
            switches,
            tones,
        })
    }
}
