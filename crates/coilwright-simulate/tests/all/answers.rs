//! The published worked examples as waveforms: from this crate's circuits and from ngspice's, through the whole decoder.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::demodulate::{KeyRead, ListenOptions, Modulation, listen, listen_in_pause};
use coilwright_simulate::circuit::{Circuit, State};
use coilwright_simulate::integrate::{Drive, GatePhase, Schedule, Waveform, simulate};
use coilwright_simulate::modulate::{KeySignal, Keying};

use coilwright_simulate::impair::{add_noise, quantise};
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;

use crate::{circuits, ngspice};

const SAMPLE_RATE_HZ: f64 = 1e6;
/// Largest step of ngspice: 32 and more in a cycle of the carrier.
const STEP_S: f64 = 250e-9;
/// Field before the key begins, for the ring to settle.
const FIELD_ON_S: f64 = 100e-6;

/// A capture of one key, without noise.
pub(crate) struct Answer {
    pub carrier_hz: f64,
    pub signal: KeySignal,
    /// How long the field is on.
    pub field_s: f64,
}

impl Answer {
    /// A key that sends `frames` frames while the field is on; half duplex is charged for 15 ms, the shortest that is
    /// published (NCD1015-50RO data sheet, clause 2.1).
    pub(crate) fn new(carrier_hz: f64, signal: KeySignal, frames: f64) -> Self {
        let frame_s =
            signal.content.bits().len() as f64 * f64::from(signal.clocks_per_bit) / carrier_hz;
        let field_s = match signal.keying {
            Keying::OwnTones(_) => 15e-3,
            _ => frames * frame_s + f64::from(signal.power_up_clocks) / carrier_hz,
        };
        Self {
            carrier_hz,
            signal,
            field_s,
        }
    }

    /// A ring of 0.7 mH and a key, both tuned as they are at 125 kHz; a sine drive spares ngspice the edges.
    pub(crate) fn circuit(&self) -> Circuit {
        let tuned = (125e3 / self.carrier_hz).powi(2);
        let mut circuit = circuits::with_key();
        circuit.ring.capacitance_farad *= tuned;
        circuit.keys[0].capacitance_farad *= tuned;
        circuit
    }

    pub(crate) fn schedule(&self) -> Schedule {
        let drive = Drive {
            waveform: Waveform::Sine {
                amplitude_volt: 5.0,
            },
            frequency_hz: self.carrier_hz,
            gate_phase: GatePhase::Restarted,
            field_on_s: vec![(FIELD_ON_S, FIELD_ON_S + self.field_s)],
        };
        let switches = self.signal.events(0, &drive).unwrap();
        let tones = self.signal.tones(0, &drive).unwrap();
        Schedule {
            drive,
            switches,
            tones,
        }
    }

    pub(crate) fn end_s(&self) -> f64 {
        let pause_s = match self.signal.keying {
            Keying::OwnTones(_) => 18e-3,
            _ => 0.0,
        };
        FIELD_ON_S + self.field_s + pause_s
    }

    /// The capture by this crate.
    pub(crate) fn simulated(&self) -> Vec<f32> {
        let length = (self.end_s() * SAMPLE_RATE_HZ) as usize;
        let trace = simulate(
            &self.circuit(),
            &self.schedule(),
            SAMPLE_RATE_HZ,
            length,
            State::PickupVoltage,
        );
        let samples = trace.unwrap().samples;
        samples.into_iter().map(|sample| sample as f32).collect()
    }

    /// The capture by ngspice; `None` where it is not installed.
    pub(crate) fn by_ngspice(&self) -> Option<Vec<f32>> {
        let end_s = self.end_s();
        let table = ngspice::pickup(&self.circuit(), &self.schedule(), end_s, STEP_S)?;
        let length = (end_s * SAMPLE_RATE_HZ) as usize;
        let at = |n: usize| ngspice::interpolated(&table, n as f64 / SAMPLE_RATE_HZ) as f32;
        Some((0..length).map(at).collect())
    }

    /// What the decoder hears in a capture, from the key's first bit on.
    pub(crate) fn heard(&self, samples: &[f32]) -> Option<KeyRead> {
        let carrier = Carrier::direct(self.carrier_hz);
        let samples = recorded(samples);
        let off = ((FIELD_ON_S + self.field_s) * SAMPLE_RATE_HZ) as usize;
        let kind = SampleKind::Real;
        if let Keying::OwnTones(_) = self.signal.keying {
            let pause = &samples[off..];
            return listen_in_pause(pause, kind, SAMPLE_RATE_HZ, off as u64, &carrier, 1.0);
        }
        let power_up_s = f64::from(self.signal.power_up_clocks) / self.carrier_hz;
        let first = ((FIELD_ON_S + power_up_s) * SAMPLE_RATE_HZ) as usize;
        let field = &samples[first..off.min(samples.len())];
        let options = ListenOptions::default();
        let heard = listen(
            field,
            kind,
            SAMPLE_RATE_HZ,
            first as u64,
            &carrier,
            &options,
        );
        heard.keys.into_iter().next()
    }
}

/// The capture as a recorder of 16 bits at half of full scale takes it, with noise 60 dB below the carrier.
fn recorded(samples: &[f32]) -> Vec<f32> {
    let mut random = ChaCha8Rng::seed_from_u64(1);
    let mut volts: Vec<f64> = samples.iter().map(|&sample| f64::from(sample)).collect();
    let peak = volts
        .iter()
        .fold(0.0_f64, |peak, volt| volt.abs().max(peak));
    add_noise(&mut volts, peak / 2.0_f64.sqrt() * 1e-3, &mut random);
    quantise(&volts, 2.0 * peak, 16)
}

/// Which modulation the decoder names for a keying.
pub(crate) fn modulation(keying: Keying) -> Modulation {
    match keying {
        Keying::Load => Modulation::Ask,
        Keying::Frequency {
            one_clocks,
            zero_clocks,
            ..
        } => Modulation::Fsk {
            clocks: [one_clocks.min(zero_clocks), one_clocks.max(zero_clocks)],
        },
        Keying::Phase { clocks, .. } => Modulation::Psk { clocks },
        Keying::OwnTones(_) => Modulation::HalfDuplex,
    }
}
