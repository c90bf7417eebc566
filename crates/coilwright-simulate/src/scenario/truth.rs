use coilwright_signal::code::PhaseChange;
use coilwright_signal::frame::FrameKind;
use serde::Serialize;

use super::{Fault, Setup};
use crate::SimulateError;
use crate::circuit::{Circuit, Configuration, DriverSwitch, KeySwitch, Pole};
use crate::modulate::{KeySignal, Keying, LineCode};

/// What is true about a capture; the JSON beside it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Truth {
    /// Version of this layout.
    pub schema: &'static str,
    /// What is wrong.
    pub fault: Fault,
    /// Seed of the scenario.
    pub seed: u64,
    /// True frequency of the drive, also where it never switches on.
    pub carrier_hz: f64,
    /// The drive's frequency as a recorder that trusts its own clock measures it, before any folding.
    pub carrier_apparent_hz: f64,
    /// Amplitude of the carrier at the pickup in steady state; 0 where the field never comes on.
    pub carrier_volt: f64,
    /// The ring's pole.
    pub ring: RingTruth,
    /// Every key in the field.
    pub keys: Vec<KeyTruth>,
    /// Where the field switches, in samples of the capture.
    pub edges: Vec<EdgeTruth>,
    /// Where the joint is broken, in samples of the capture.
    pub joint_breaks: Vec<(f64, f64)>,
    /// How it was recorded.
    pub recorder: RecorderTruth,
}

/// The ring's pole in several states of the circuit; `None` where the ring does not oscillate with its capacitor.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RingTruth {
    /// Field on, no key.
    pub alone: Option<Pole>,
    /// Field on, every key at level 0.
    pub with_keys: Option<Pole>,
    /// Field off, no key.
    pub driver_off: Option<Pole>,
    /// Field off, every key at level 0.
    pub driver_off_with_keys: Option<Pole>,
}

/// One key.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct KeyTruth {
    /// How the key modulates: `ask`, `fsk`, `psk` or `half_duplex`.
    pub modulation: &'static str,
    /// Carrier cycles in a period of each subcarrier, that of level 1 first; none without a subcarrier.
    pub subcarrier_clocks: Vec<u32>,
    /// When the phase of a subcarrier turns.
    pub phase_change: Option<PhaseChange>,
    /// The tones of 0 and 1 of a half-duplex key, as it sends them.
    pub reply: Option<ReplyTruth>,
    /// The line code, `None` for a mute key.
    pub line_code: Option<LineCode>,
    /// Carrier cycles a bit, `None` for a mute key.
    pub clocks_per_bit: Option<u32>,
    /// The frame, `None` for a mute key and for bits of no published frame.
    pub frame: Option<FrameTruth>,
    /// What the key's switch does to the carrier in steady state; a subcarrier leaves less of it.
    pub depth: Depth,
    /// Resonance of the key's own coil and capacitor.
    pub resonance_hz: f64,
    /// Coupling factor to the ring.
    pub coupling: f64,
}

/// The reply of a half-duplex key.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ReplyTruth {
    /// Frequencies of 0 and of 1.
    pub tones_hz: [f64; 2],
    /// Their amplitudes at the pickup at the start of the reply, in steady state.
    pub tones_volt: [f64; 2],
    /// Rate at which the amplitude falls.
    pub decay_per_s: f64,
}

/// A frame as it is sent.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FrameTruth {
    /// Which frame.
    pub kind: FrameKind,
    /// The bits as sent, first bit first.
    pub bits: String,
    /// The payload in hexadecimal.
    pub payload: String,
}

/// What a key's switch does to the pickup's carrier, both levels in steady state.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Depth {
    /// `|V₁ − V₀| / mean |V|`: amplitude and phase together, peak to peak.
    pub total: f64,
    /// `(|V₁| − |V₀|) / mean |V|`: positive when the heavy load raises the carrier.
    pub amplitude: f64,
    /// `arg V₁ − arg V₀`, in radians.
    pub phase_rad: f64,
}

/// Whether the field comes on or goes off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum EdgeKind {
    /// The field comes on.
    On,
    /// The field goes off.
    Off,
}

/// A moment when the field switches.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct EdgeTruth {
    /// On or off.
    pub kind: EdgeKind,
    /// Position in samples of the capture.
    pub sample: f64,
}

/// How a capture was recorded.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RecorderTruth {
    /// The rate that the capture claims.
    pub sample_rate_hz: f64,
    /// By how much the true rate is higher, in parts per million.
    pub clock_error_ppm: f64,
    /// Bits of the format; `None` for floating point.
    pub bits: Option<u32>,
    /// Voltage of full scale.
    pub full_scale_volt: f64,
    /// Standard deviation of the white noise.
    pub noise_rms_volt: f64,
    /// Power of the carrier over that of noise and quantisation in half the sampling rate; `None` without carrier.
    pub snr_db: Option<f64>,
}

impl Truth {
    /// Returns what is true about the capture of a setup.
    ///
    /// # Errors
    /// When the circuit makes no sense.
    pub fn new(fault: Fault, seed: u64, setup: &Setup) -> Result<Self, SimulateError> {
        let recorder = &setup.recorder;
        let carrier_volt = setup.carrier_volt()?;
        Ok(Self {
            schema: "coilwright-truth/1",
            fault,
            seed,
            carrier_hz: setup.drive.frequency_hz,
            carrier_apparent_hz: setup.drive.frequency_hz * recorder.sample_rate_hz
                / recorder.true_rate_hz(),
            carrier_volt,
            ring: RingTruth::new(&setup.circuit)?,
            keys: (0..setup.signals.len())
                .map(|index| KeyTruth::new(setup, index))
                .collect::<Result<_, _>>()?,
            edges: setup.edges(),
            joint_breaks: setup
                .joint_breaks_s
                .iter()
                .map(|&(start_s, end_s)| (recorder.position(start_s), recorder.position(end_s)))
                .collect(),
            recorder: RecorderTruth {
                sample_rate_hz: recorder.sample_rate_hz,
                clock_error_ppm: recorder.clock_error_ppm,
                bits: recorder.bits,
                full_scale_volt: recorder.full_scale_volt,
                noise_rms_volt: recorder.noise_rms_volt,
                snr_db: (carrier_volt > 0.0)
                    .then(|| 10.0 * (carrier_volt.powi(2) / 2.0 / recorder.noise_power()).log10()),
            },
        })
    }
}

impl RingTruth {
    fn new(circuit: &Circuit) -> Result<Self, SimulateError> {
        let alone = circuit.without_keys();
        let on = |circuit: &Circuit| circuit.ring_pole(&Configuration::resting(circuit));
        let off = |circuit: &Circuit| {
            circuit.ring_pole(&Configuration::resting(circuit).with_driver(DriverSwitch::Off))
        };
        Ok(Self {
            alone: on(&alone)?,
            with_keys: on(circuit)?,
            driver_off: off(&alone)?,
            driver_off_with_keys: off(circuit)?,
        })
    }
}

impl KeyTruth {
    fn new(setup: &Setup, index: usize) -> Result<Self, SimulateError> {
        let key = &setup.circuit.keys[index];
        let signal = setup.signals[index];
        Ok(Self {
            modulation: signal.map_or("ask", |signal| signal.keying.identifier()),
            subcarrier_clocks: signal.map_or_else(Vec::new, |signal| signal.keying.clocks()),
            phase_change: signal.and_then(|signal| match signal.keying {
                Keying::Phase { change, .. } => Some(change),
                _ => None,
            }),
            reply: setup.reply(index)?,
            line_code: signal.map(|signal| signal.line_code),
            clocks_per_bit: signal.map(|signal| signal.clocks_per_bit),
            frame: signal.as_ref().and_then(FrameTruth::new),
            depth: setup.depth(index)?,
            resonance_hz: (key.inductance_henry * key.capacitance_farad)
                .sqrt()
                .recip()
                / std::f64::consts::TAU,
            coupling: key.coupling_ring,
        })
    }
}

impl FrameTruth {
    fn new(signal: &KeySignal) -> Option<Self> {
        let frame = signal.content.frame()?;
        Some(Self {
            kind: frame.kind,
            bits: frame.bit_text(),
            payload: frame.payload,
        })
    }
}

impl Setup {
    /// Returns the amplitude of the carrier at the pickup in steady state, every key at level 0; 0 where the field
    /// never comes on.
    ///
    /// # Errors
    /// When the circuit makes no sense.
    pub fn carrier_volt(&self) -> Result<f64, SimulateError> {
        if self.drive.field_on_s.is_empty() {
            return Ok(0.0);
        }
        let resting = Configuration::resting(&self.circuit);
        let response = self
            .circuit
            .pickup_response(&resting, self.drive.frequency_hz)?;
        Ok(response.norm() * self.drive.waveform.fundamental_volt())
    }

    /// Returns what the switch of key `index` does to the pickup's carrier, the other keys at level 0.
    ///
    /// # Errors
    /// When the circuit makes no sense or has no such key.
    pub fn depth(&self, index: usize) -> Result<Depth, SimulateError> {
        let open = Configuration::resting(&self.circuit);
        let mut closed = open.clone();
        if let Some(switch) = closed.keys.get_mut(index) {
            *switch = KeySwitch::Closed;
        }
        let response = |configuration: &Configuration| {
            self.circuit
                .pickup_response(configuration, self.drive.frequency_hz)
        };
        let (light, heavy) = (response(&open)?, response(&closed)?);
        let mean = 0.5 * (light.norm() + heavy.norm());
        Ok(Depth {
            total: (heavy - light).norm() / mean,
            amplitude: (heavy.norm() - light.norm()) / mean,
            phase_rad: (heavy / light).arg(),
        })
    }

    /// Returns the reply of key `index` as the pickup has it; `None` for a key without tones of its own.
    ///
    /// # Errors
    /// When the circuit makes no sense.
    pub fn reply(&self, index: usize) -> Result<Option<ReplyTruth>, SimulateError> {
        let Some(Some(signal)) = self.signals.get(index) else {
            return Ok(None);
        };
        let Keying::OwnTones(own) = signal.keying else {
            return Ok(None);
        };
        let mut sending = Configuration::resting(&self.circuit).with_driver(DriverSwitch::Off);
        if let Some(switch) = sending.keys.get_mut(index) {
            *switch = KeySwitch::Closed;
        }
        let response = |hz| self.circuit.pickup_response_to_key(&sending, index, hz);
        let [zero, one] = own.tones_hz;
        let tones_volt = [response(zero)?, response(one)?].map(|r| r.norm() * own.amplitude_volt);
        Ok(Some(ReplyTruth {
            tones_hz: own.tones_hz,
            tones_volt,
            decay_per_s: own.decay_per_s,
        }))
    }

    fn edges(&self) -> Vec<EdgeTruth> {
        let start_s = self.recorder.start_s;
        let end_s = start_s + self.recorder.length_s;
        self.drive
            .field_on_s
            .iter()
            .flat_map(|&(on_s, off_s)| [(EdgeKind::On, on_s), (EdgeKind::Off, off_s)])
            .filter(|&(_, time_s)| time_s > start_s && time_s < end_s)
            .map(|(kind, time_s)| EdgeTruth {
                kind,
                sample: self.recorder.position(time_s),
            })
            .collect()
    }
}
