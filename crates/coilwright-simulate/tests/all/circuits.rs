//! Circuits made by hand.

use coilwright_simulate::circuit::{Circuit, Driver, Joint, Key, Pickup, Ring};
use coilwright_simulate::integrate::{Drive, GatePhase, Schedule, Waveform};

/// A 0.7 mH ring, 1.8 % above 125 kHz, loaded Q near 15, with a pickup coil and no key.
pub(crate) fn plain() -> Circuit {
    Circuit {
        driver: Driver {
            resistance_on_ohm: 22.0,
            resistance_off_ohm: 22.0,
            clamp_volt: None,
            lead_henry: 1e-6,
            cable_farad: 150e-12,
        },
        ring: Ring {
            inductance_henry: 0.7e-3,
            resistance_ohm: 14.0,
            capacitance_farad: 2.2e-9,
            stray_farad: 36e-12,
            stray_loss_ohm: 150e3,
            lead_henry: 0.5e-6,
            joint: Joint {
                closed_ohm: 0.2,
                broken_ohm: 1e8,
                gap_farad: 8e-12,
            },
            coil_short_ohm: None,
            terminal_short_ohm: None,
        },
        pickup: Pickup {
            inductance_henry: 0.5e-3,
            resistance_ohm: 20.0,
            capacitance_farad: 120e-12,
            load_ohm: 6e3,
            coupling_ring: 0.03,
            coupling_lead: 0.02,
        },
        keys: Vec::new(),
        coupling_between_keys: 0.0,
        loops: Vec::new(),
    }
}

/// A key tuned to 126 kHz, unloaded Q near 25.
pub(crate) fn key() -> Key {
    Key {
        inductance_henry: 4e-3,
        resistance_ohm: 90.0,
        capacitance_farad: 400e-12,
        load_open_ohm: 120e3,
        load_closed_ohm: 15e3,
        coupling_ring: 0.03,
        coupling_pickup: 0.015,
    }
}

pub(crate) fn with_key() -> Circuit {
    Circuit {
        keys: vec![key()],
        ..plain()
    }
}

/// A square drive of ±5 V without any other switch.
pub(crate) fn square(field_on_s: Vec<(f64, f64)>) -> Schedule {
    Schedule {
        drive: Drive {
            waveform: Waveform::Square {
                high_volt: 5.0,
                low_volt: -5.0,
                duty: 0.5,
            },
            frequency_hz: 125_000.0,
            gate_phase: GatePhase::Restarted,
            field_on_s,
        },
        switches: Vec::new(),
        tones: Vec::new(),
    }
}
