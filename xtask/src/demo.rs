//! The demonstration captures of `testdata/sandpiper`: one lock, healthy and with three faults.

use std::f64::consts::TAU;
use std::path::Path;
use std::process::ExitCode;

use coilwright_signal::capture::{WavSample, write_wav};
use coilwright_signal::frame::ReadOnly64;
use coilwright_simulate::circuit::{Circuit, ClosedLoop, Driver, Joint, Key, Pickup, Ring};
use coilwright_simulate::integrate::{Drive, GatePhase, Waveform};
use coilwright_simulate::modulate::{Content, KeySignal, Keying, LineCode};
use coilwright_simulate::scenario::{AntiAlias, Recorder, Setup};
use coilwright_simulate::{Fault, Scenario};

use crate::error::TaskError;

const FOLDER: &str = "testdata/sandpiper";
const CARRIER_HZ: f64 = 125_000.0;
const RING_HZ: f64 = 125_400.0;
const RING_Q: f64 = 14.0;
const RING_HENRY: f64 = 0.72e-3;
const SELF_RESONANCE_HZ: f64 = 1e6;
const OPEN_OHM: f64 = 1e8;

const TAPS: u32 = 5;
const FIRST_TAP_S: f64 = 0.0012;
const TAP_EVERY_S: f64 = 0.0037;
const TAP_LENGTH_S: f64 = 3e-6;
const TAPPED_FULL_SCALE_VOLT: f64 = 0.5;

/// A capture of the call: its file's name, its seed, its fault and what that does to the healthy lock.
struct Visit {
    name: &'static str,
    seed: u64,
    fault: Fault,
    change: fn(&mut Setup),
}

const VISITS: [Visit; 5] = [
    Visit {
        name: "healthy",
        seed: 1,
        fault: Fault::None,
        change: |_| {},
    },
    Visit {
        name: "open-ring",
        seed: 2,
        fault: Fault::RingOpen,
        change: |setup| setup.circuit.ring.joint.closed_ohm = OPEN_OHM,
    },
    Visit {
        name: "metal-collar",
        seed: 3,
        fault: Fault::MetalNear,
        change: |setup| setup.circuit.loops.push(collar()),
    },
    Visit {
        name: "silent-key",
        seed: 4,
        fault: Fault::KeySilent,
        change: |setup| setup.signals = vec![None],
    },
    Visit {
        name: "ring-down",
        seed: 5,
        fault: Fault::None,
        change: tapped,
    },
];

/// The drive gives single pulses of 3 µs, with no key near: the ring rings and dies away.
fn tapped(setup: &mut Setup) {
    setup.circuit.keys.clear();
    setup.signals.clear();
    setup.drive.field_on_s = (0..TAPS)
        .map(|tap| {
            let start_s = f64::from(tap).mul_add(TAP_EVERY_S, FIRST_TAP_S);
            (start_s, start_s + TAP_LENGTH_S)
        })
        .collect();
    setup.recorder.length_s = 0.02;
    setup.recorder.full_scale_volt = TAPPED_FULL_SCALE_VOLT;
    setup.recorder.noise_rms_volt = 1e-3;
}

/// Writes every capture with its truth beside it.
pub(crate) fn write(root: &Path) -> Result<ExitCode, TaskError> {
    let folder = root.join(FOLDER);
    for visit in VISITS {
        let mut setup = healthy();
        (visit.change)(&mut setup);
        let scenario = Scenario {
            fault: visit.fault,
            seed: visit.seed,
            setup,
            reference: None,
        };
        let simulated = scenario.simulate()?;
        let capture = folder.join(format!("{}.wav", visit.name));
        write_wav(&capture, &simulated.capture, WavSample::Int16)?;
        let path = folder.join(format!("{}.json", visit.name));
        let refused = |source| TaskError::File {
            path: path.clone(),
            source,
        };
        let truth = serde_json::to_string_pretty(&simulated.truth)
            .map_err(|error| refused(error.into()))?;
        std::fs::write(&path, truth + "\n").map_err(refused)?;
        println!("wrote {FOLDER}/{}.wav and its truth", visit.name);
    }
    Ok(ExitCode::SUCCESS)
}

/// The healthy lock: a ring of Q 14 tuned 0.3 % high, a key in reach, two bursts, a 14-bit recorder at 1 MS/s.
fn healthy() -> Setup {
    Setup {
        circuit: circuit(),
        drive: Drive {
            waveform: Waveform::Square {
                high_volt: 5.0,
                low_volt: -5.0,
                duty: 0.5,
            },
            frequency_hz: CARRIER_HZ * (1.0 + 37e-6),
            gate_phase: GatePhase::Restarted,
            field_on_s: vec![(0.012, 0.092), (0.117, 0.197)],
        },
        signals: vec![Some(KeySignal {
            content: Content::ReadOnly64(ReadOnly64 {
                customer: 0x2A,
                number: 0x0051_7C04,
            }),
            line_code: LineCode::Manchester,
            keying: Keying::Load,
            clocks_per_bit: 64,
            power_up_clocks: 200,
            inverted: false,
        })],
        joint_breaks_s: Vec::new(),
        recorder: Recorder {
            sample_rate_hz: 1e6,
            clock_error_ppm: 12.0,
            start_s: 0.0,
            length_s: 0.21,
            detector: None,
            high_pass_hz: None,
            anti_alias: AntiAlias::None,
            noise_rms_volt: 1.5e-3,
            noise_bursts: Vec::new(),
            lines: Vec::new(),
            hum: None,
            offset_volt: 4e-3,
            gain_control: None,
            clip_volt: None,
            full_scale_volt: 4.0,
            bits: Some(14),
            lost: Vec::new(),
        },
    }
}

fn circuit() -> Circuit {
    let total_ohm = TAU * RING_HZ * RING_HENRY / RING_Q;
    // Below its self-resonance the stray capacitance makes the coil look larger.
    let seen_henry = RING_HENRY / (1.0 - (RING_HZ / SELF_RESONANCE_HZ).powi(2));
    Circuit {
        driver: Driver {
            resistance_on_ohm: 0.6 * total_ohm,
            resistance_off_ohm: 0.6 * total_ohm,
            clamp_volt: None,
            lead_henry: 1e-6,
            cable_farad: 150e-12,
        },
        ring: Ring {
            inductance_henry: RING_HENRY,
            resistance_ohm: 0.4 * total_ohm,
            capacitance_farad: (TAU * RING_HZ).powi(-2) / seen_henry,
            stray_farad: (TAU * SELF_RESONANCE_HZ).powi(-2) / RING_HENRY,
            stray_loss_ohm: TAU * SELF_RESONANCE_HZ * RING_HENRY * 30.0,
            lead_henry: 0.5e-6,
            joint: Joint {
                closed_ohm: 0.1,
                broken_ohm: OPEN_OHM,
                gap_farad: 3e-12,
            },
            coil_short_ohm: None,
            terminal_short_ohm: None,
        },
        pickup: Pickup {
            inductance_henry: 0.5e-3,
            resistance_ohm: 15.0,
            capacitance_farad: 150e-12,
            load_ohm: 4e3,
            coupling_ring: 0.04,
            coupling_lead: 0.01,
        },
        keys: vec![Key {
            inductance_henry: 2.4e-3,
            resistance_ohm: 60.0,
            capacitance_farad: (TAU * CARRIER_HZ).powi(-2) / 2.4e-3,
            load_open_ohm: 60e3,
            load_closed_ohm: 8e3,
            coupling_ring: 0.016,
            coupling_pickup: 0.001,
        }],
        coupling_between_keys: 0.0,
        loops: Vec::new(),
    }
}

/// A thick metal collar over the lock cylinder.
fn collar() -> ClosedLoop {
    let inductance_henry = 0.4e-6;
    ClosedLoop {
        inductance_henry,
        resistance_ohm: TAU * CARRIER_HZ * inductance_henry / 12.0,
        coupling_ring: 0.32,
        coupling_pickup: 0.013,
        coupling_keys: 0.005,
    }
}
