use std::collections::HashMap;

use nalgebra::{Complex, DVector};

use super::clamp::RingView;
use super::drive::{Edges, SAME_TIME_S, Waveform};
use super::propagator::Propagator;
use super::schedule::{Schedule, Segment};
use crate::SimulateError;
use crate::circuit::{Circuit, Configuration, DriverSwitch, State, StateSpace};
use crate::error::{require, require_positive};

/// A sampled voltage or current and the state in which the circuit was left.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// One value a sample, in volts or amperes; sample `n` was taken at `n / sample_rate_hz`.
    pub samples: Vec<f64>,
    /// The physical states at the end, in the order of [`StateSpace::states`].
    pub final_states: DVector<f64>,
}

/// Returns `length` samples of a state of the circuit, which starts at rest.
///
/// ```
/// # use coilwright_simulate::{circuit, integrate, SimulateError};
/// use circuit::{Circuit, State};
/// use integrate::{Drive, GatePhase, Schedule, Waveform, simulate};
/// # fn run(circuit: &Circuit) -> Result<(), SimulateError> {
/// let drive = Drive {
///     waveform: Waveform::Square { high_volt: 5.0, low_volt: -5.0, duty: 0.5 },
///     frequency_hz: 125_000.0,
///     gate_phase: GatePhase::FreeRunning,
///     field_on_s: vec![(0.001, 0.009)],
/// };
/// let schedule = Schedule { drive, switches: Vec::new(), tones: Vec::new() };
/// let trace = simulate(circuit, &schedule, 1e6, 10_000, State::PickupVoltage)?;
/// assert_eq!(trace.samples.len(), 10_000);
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// When a value makes no sense, the couplings contradict each other, or the modes cannot be told apart.
pub fn simulate(
    circuit: &Circuit,
    schedule: &Schedule,
    sample_rate_hz: f64,
    length: usize,
    output: State,
) -> Result<Trace, SimulateError> {
    require_positive("sample_rate_hz", sample_rate_hz)?;
    let segments = schedule.segments(circuit, length as f64 / sample_rate_hz)?;
    let resting = StateSpace::new(circuit, &Configuration::resting(circuit))?;
    let mut engine = Engine {
        circuit,
        schedule,
        interval_s: sample_rate_hz.recip(),
        length,
        output,
        ready: HashMap::new(),
        ring: RingView::new(circuit, &resting),
        energy: DVector::zeros(resting.states.len()),
        samples: Vec::with_capacity(length),
    };
    for segment in &segments {
        engine.run(segment)?;
    }
    Ok(Trace {
        samples: engine.samples,
        final_states: resting.physical * engine.energy,
    })
}

struct Engine<'a> {
    circuit: &'a Circuit,
    schedule: &'a Schedule,
    interval_s: f64,
    length: usize,
    output: State,
    ready: HashMap<Configuration, Propagator>,
    ring: RingView,
    energy: DVector<f64>,
    samples: Vec<f64>,
}

impl Engine<'_> {
    fn run(&mut self, segment: &Segment) -> Result<(), SimulateError> {
        let span_s = (segment.start_s, segment.end_s);
        match (segment.origin_s, self.circuit.driver.clamp_volt) {
            _ if !segment.tones.is_empty() => self.sound(segment),
            (Some(origin_s), _) => {
                self.prepare(&segment.configuration)?;
                self.drive(&segment.configuration, span_s, origin_s);
                Ok(())
            }
            (None, Some(clamp_volt)) => self.clamp(&segment.configuration, span_s, clamp_volt),
            (None, None) => self.hold(&segment.configuration, span_s, 0.0),
        }
    }

    /// Steps while keys send by themselves: what they force adds to the motion without them. Diodes of the output do not
    /// conduct any more by then.
    fn sound(&mut self, segment: &Segment) -> Result<(), SimulateError> {
        require(
            segment.origin_s.is_none(),
            "tones.start_s",
            segment.start_s,
            "a moment at which the field is off",
        )?;
        self.prepare(&segment.configuration)?;
        self.force(segment, segment.start_s, -1.0);
        let first = self.samples.len();
        self.hold(
            &segment.configuration,
            (segment.start_s, segment.end_s),
            0.0,
        )?;
        self.force(segment, segment.end_s, 1.0);
        if let Some(propagator) = self.ready.get(&segment.configuration) {
            for tone in &segment.tones {
                let samples = &mut self.samples[first..];
                tone.add_output(propagator, self.interval_s, first, samples);
            }
        }
        Ok(())
    }

    /// Adds `sign` times the motion that the segment's tones force at a moment.
    fn force(&mut self, segment: &Segment, time_s: f64, sign: f64) {
        if let Some(propagator) = self.ready.get(&segment.configuration) {
            for tone in &segment.tones {
                self.energy += tone.energy(propagator, time_s) * sign;
            }
        }
    }

    /// Makes the propagator of a configuration, once.
    fn prepare(&mut self, configuration: &Configuration) -> Result<(), SimulateError> {
        if !self.ready.contains_key(configuration) {
            let new = Propagator::new(self.circuit, configuration, self.interval_s, self.output)?;
            self.ready.insert(configuration.clone(), new);
        }
        Ok(())
    }

    /// Steps with the drive on.
    fn drive(&mut self, configuration: &Configuration, span_s: (f64, f64), origin_s: f64) {
        let Some(propagator) = self.ready.get(configuration) else {
            return;
        };
        let modes = propagator.modes.of_energy(&self.energy);
        let stretch = Stretch::new(propagator, self.interval_s, span_s, self.length);
        let drive = &self.schedule.drive;
        let modes = match drive.waveform {
            Waveform::Square {
                high_volt,
                low_volt,
                duty,
            } => {
                let waveform = (high_volt, low_volt, duty);
                let edges = Edges::new(waveform, drive.frequency_hz, origin_s, span_s.0);
                stretch.square(modes, edges, &mut self.samples)
            }
            Waveform::Sine { amplitude_volt } => {
                let sine = Sine {
                    amplitude_volt,
                    omega: std::f64::consts::TAU * drive.frequency_hz,
                    origin_s,
                };
                stretch.sine(modes, &sine, &mut self.samples)
            }
        };
        self.energy = propagator.modes.to_energy(&modes);
    }

    /// Steps with the driver's voltage held.
    fn hold(
        &mut self,
        configuration: &Configuration,
        span_s: (f64, f64),
        volt: f64,
    ) -> Result<(), SimulateError> {
        self.prepare(configuration)?;
        if let Some(propagator) = self.ready.get(configuration) {
            let modes = propagator.modes.of_energy(&self.energy);
            let stretch = Stretch::new(propagator, self.interval_s, span_s, self.length);
            let modes = stretch.constant(modes, volt, &mut self.samples);
            self.energy = propagator.modes.to_energy(&modes);
        }
        Ok(())
    }

    /// Steps half wave by half wave while the diodes conduct, then with the output high-impedance.
    fn clamp(
        &mut self,
        configuration: &Configuration,
        (mut now_s, end_s): (f64, f64),
        clamp_volt: f64,
    ) -> Result<(), SimulateError> {
        let clamped = configuration.clone().with_driver(DriverSwitch::Clamped);
        self.prepare(&clamped)?;
        let mut direction = self.ring.direction(&self.energy);
        while self.ring.swing_volt(&self.energy) > clamp_volt && end_s - now_s > SAME_TIME_S {
            let volt = -clamp_volt * direction;
            let half_wave_s = self.ready.get(&clamped).and_then(|propagator| {
                let longest_s = end_s - now_s;
                self.ring
                    .half_wave_s(propagator, &self.energy, volt, direction, longest_s)
            });
            let Some(half_wave_s) = half_wave_s else {
                break;
            };
            self.hold(&clamped, (now_s, now_s + half_wave_s), volt)?;
            now_s += half_wave_s;
            direction = -direction;
        }
        self.hold(configuration, (now_s, end_s), 0.0)
    }
}

struct Sine {
    amplitude_volt: f64,
    omega: f64,
    origin_s: f64,
}

impl Sine {
    /// `u = Re(phasor)` at a moment.
    fn phasor(&self, time_s: f64) -> Complex<f64> {
        Complex::from_polar(
            self.amplitude_volt,
            self.omega * (time_s - self.origin_s) - std::f64::consts::FRAC_PI_2,
        )
    }
}

/// One segment with its propagator; each method takes the modes at its start and returns those at its end.
struct Stretch<'a> {
    propagator: &'a Propagator,
    interval_s: f64,
    start_s: f64,
    end_s: f64,
    length: usize,
}

impl<'a> Stretch<'a> {
    fn new(
        propagator: &'a Propagator,
        interval_s: f64,
        (start_s, end_s): (f64, f64),
        length: usize,
    ) -> Self {
        Self {
            propagator,
            interval_s,
            start_s,
            end_s,
            length,
        }
    }

    fn time_s(&self, sample: usize) -> f64 {
        sample as f64 * self.interval_s
    }

    /// Whether the next sample is taken in this segment.
    fn takes(&self, sample: usize) -> bool {
        sample < self.length && self.time_s(sample) < self.end_s
    }

    fn constant(
        &self,
        modes: Vec<Complex<f64>>,
        volt: f64,
        samples: &mut Vec<f64>,
    ) -> Vec<Complex<f64>> {
        let mut free = modes;
        self.propagator.add_jump(&mut free, volt, 0.0);
        let rest = self.propagator.constant_output(volt);
        let mut now_s = self.start_s;
        while self.takes(samples.len()) {
            now_s = self.advance(&mut free, now_s, samples.len());
            samples.push(self.propagator.free_output(&free) + rest);
        }
        self.propagator.step(&mut free, self.end_s - now_s);
        self.propagator.add_jump(&mut free, -volt, 0.0);
        free
    }

    fn square(
        &self,
        modes: Vec<Complex<f64>>,
        mut edges: Edges,
        samples: &mut Vec<f64>,
    ) -> Vec<Complex<f64>> {
        let mut free = modes;
        self.propagator.add_jump(&mut free, edges.level_volt(), 0.0);
        let mut now_s = self.start_s;
        while self.takes(samples.len()) {
            now_s = self.advance(&mut free, now_s, samples.len());
            while edges.next_s() <= now_s {
                let edge_s = edges.next_s();
                self.propagator
                    .add_jump(&mut free, edges.step_volt(), now_s - edge_s);
            }
            let constant = self.propagator.constant_output(edges.level_volt());
            samples.push(self.propagator.free_output(&free) + constant);
        }
        self.propagator.step(&mut free, self.end_s - now_s);
        while edges.next_s() < self.end_s - SAME_TIME_S {
            let edge_s = edges.next_s();
            self.propagator
                .add_jump(&mut free, edges.step_volt(), self.end_s - edge_s);
        }
        self.propagator
            .add_jump(&mut free, -edges.level_volt(), 0.0);
        free
    }

    fn sine(
        &self,
        modes: Vec<Complex<f64>>,
        sine: &Sine,
        samples: &mut Vec<f64>,
    ) -> Vec<Complex<f64>> {
        let turn = Complex::new(0.0, sine.omega);
        let source = &self.propagator.modes.drive;
        let start = self
            .propagator
            .forced(source, sine.phasor(self.start_s), turn);
        let mut free: Vec<_> = modes
            .into_iter()
            .zip(start)
            .map(|(mode, forced)| mode - forced)
            .collect();
        let unit = self
            .propagator
            .forced_output(source, Complex::new(1.0, 0.0), turn);
        let mut now_s = self.start_s;
        while self.takes(samples.len()) {
            now_s = self.advance(&mut free, now_s, samples.len());
            samples.push(self.propagator.free_output(&free) + (unit * sine.phasor(now_s)).re);
        }
        self.propagator.step(&mut free, self.end_s - now_s);
        let end = self
            .propagator
            .forced(source, sine.phasor(self.end_s), turn);
        free.into_iter()
            .zip(end)
            .map(|(mode, forced)| mode + forced)
            .collect()
    }

    /// Steps the free modes from `now_s` to a sample and returns its time.
    fn advance(&self, free: &mut [Complex<f64>], now_s: f64, sample: usize) -> f64 {
        let time_s = self.time_s(sample);
        // Equal bit for bit when the last step ended on the sample before.
        if sample > 0 && now_s.to_bits() == self.time_s(sample - 1).to_bits() {
            self.propagator.step_sample(free);
        } else {
            self.propagator.step(free, time_s - now_s);
        }
        time_s
    }
}
