//! The boatyard's *Sandpiper* call: one workboat, one antenna ring, five captures.
//!
//! The same ring, driver and pickup coil in each, so that the known-good capture serves as the reference of the others.

use coilwright_signal::frame::ReadOnly64;

use crate::circuit::{Circuit, ClosedLoop, Driver, Joint, Key, Pickup, Ring};
use crate::impair::Hum;
use crate::integrate::{Drive, GatePhase, Waveform};
use crate::modulate::{Content, KeySignal, LineCode};
use crate::scenario::{AntiAlias, Recorder};
use crate::{Fault, Scenario, Setup};

/// The carrier, 17 ppm above nominal.
const CARRIER_HZ: f64 = 125_002.1;

/// Returns the captures by name: `known_good`, `healthy`, `ring_open`, `metal_collar` and `key_silent`.
///
/// ```
/// let names: Vec<&str> = coilwright_simulate::demo::sandpiper().iter().map(|(name, _)| *name).collect();
/// assert_eq!(names, ["known_good", "healthy", "ring_open", "metal_collar", "key_silent"]);
/// ```
#[must_use]
pub fn sandpiper() -> [(&'static str, Scenario); 5] {
    let mut known_good = setup();
    known_good.circuit.pickup.coupling_ring *= 1.04;
    known_good.circuit.pickup.coupling_lead *= 1.04;

    let mut ring_open = setup();
    ring_open.circuit.ring.joint.closed_ohm = ring_open.circuit.ring.joint.broken_ohm;

    let mut metal_collar = setup();
    metal_collar
        .circuit
        .loops
        .push(collar(&metal_collar.circuit));

    let mut key_silent = setup();
    key_silent.circuit.keys.clear();
    key_silent.signals.clear();

    let scenario = |fault, seed, setup| Scenario {
        fault,
        seed,
        setup,
        reference: None,
    };
    [
        ("known_good", scenario(Fault::None, 1, known_good)),
        ("healthy", scenario(Fault::None, 2, setup())),
        ("ring_open", scenario(Fault::RingOpen, 3, ring_open)),
        ("metal_collar", scenario(Fault::MetalNear, 4, metal_collar)),
        ("key_silent", scenario(Fault::KeySilent, 5, key_silent)),
    ]
}

/// The healthy boat: two questions of 90 ms, 200 ms apart, and a key that answers both.
fn setup() -> Setup {
    let cycles = |time_s: f64| (time_s * CARRIER_HZ).round() / CARRIER_HZ;
    Setup {
        circuit: circuit(),
        drive: Drive {
            waveform: Waveform::Square {
                high_volt: 5.0,
                low_volt: -5.0,
                duty: 0.5,
            },
            frequency_hz: CARRIER_HZ,
            gate_phase: GatePhase::FreeRunning,
            field_on_s: [(0.020, 0.110), (0.220, 0.310)]
                .map(|(on_s, off_s)| (cycles(on_s), cycles(off_s)))
                .to_vec(),
        },
        signals: vec![Some(KeySignal {
            content: Content::ReadOnly64(ReadOnly64 {
                customer: 0x2C,
                number: 0x0051_7E4A,
            }),
            line_code: LineCode::Manchester,
            clocks_per_bit: 64,
            power_up_clocks: 180,
            inverted: false,
        })],
        joint_breaks_s: Vec::new(),
        recorder: recorder(),
    }
}

fn circuit() -> Circuit {
    Circuit {
        driver: Driver {
            resistance_on_ohm: 18.0,
            resistance_off_ohm: 18.0,
            clamp_volt: None,
            lead_henry: 0.9e-6,
            cable_farad: 140e-12,
        },
        ring: Ring {
            inductance_henry: 0.72e-3,
            resistance_ohm: 13.0,
            capacitance_farad: 2.2e-9,
            stray_farad: 38e-12,
            stray_loss_ohm: 150e3,
            lead_henry: 0.6e-6,
            joint: Joint {
                closed_ohm: 0.12,
                broken_ohm: 1e8,
                gap_farad: 9e-12,
            },
            coil_short_ohm: None,
            terminal_short_ohm: None,
        },
        pickup: Pickup {
            inductance_henry: 0.52e-3,
            resistance_ohm: 24.0,
            capacitance_farad: 130e-12,
            load_ohm: 4.7e3,
            coupling_ring: 0.022,
            coupling_lead: 0.011,
        },
        keys: vec![Key {
            inductance_henry: 4.2e-3,
            resistance_ohm: 120.0,
            capacitance_farad: 382e-12,
            load_open_ohm: 150e3,
            load_closed_ohm: 45e3,
            coupling_ring: 0.021,
            coupling_pickup: 0.006,
        }],
        coupling_between_keys: 0.0,
        loops: Vec::new(),
    }
}

/// A brass collar round the lock, put on by someone who meant well.
fn collar(circuit: &Circuit) -> ClosedLoop {
    let coupling_ring = 0.36;
    ClosedLoop {
        inductance_henry: 0.11e-6,
        resistance_ohm: 5.5e-3,
        coupling_ring,
        coupling_pickup: coupling_ring * circuit.pickup.coupling_ring,
        coupling_keys: coupling_ring * 0.021,
    }
}

/// 500 kS/s, 16 bits, some hum from shore power.
fn recorder() -> Recorder {
    Recorder {
        sample_rate_hz: 500e3,
        clock_error_ppm: -12.0,
        start_s: 0.0,
        length_s: 0.34,
        detector: None,
        high_pass_hz: None,
        anti_alias: AntiAlias::None,
        noise_rms_volt: 1.5e-3,
        noise_bursts: Vec::new(),
        lines: Vec::new(),
        hum: Some(Hum {
            frequency_hz: 50.0,
            amplitude_volt: 4e-3,
            partials: 6,
            phase_rad: 0.4,
        }),
        offset_volt: 2e-3,
        gain_control: None,
        clip_volt: None,
        full_scale_volt: 4.0,
        bits: Some(16),
        lost: Vec::new(),
    }
}
