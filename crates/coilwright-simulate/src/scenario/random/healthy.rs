use std::f64::consts::TAU;

use super::draw::Draw;
use super::{half_duplex, key, pattern, recorder};
use crate::circuit::{Circuit, Configuration, Driver, Joint, Pickup, Ring};
use crate::integrate::{Drive, GatePhase, Waveform};
use crate::modulate::Keying;
use crate::scenario::{KeyChoice, Setup};

/// Loaded Q of healthy rings.
const Q_RANGE: (f64, f64) = (5.0, 40.0);
/// How far from the drive a healthy ring may be tuned.
const TUNING: f64 = 0.02;

/// Returns a healthy setup: ring, readable key, switching pattern and recorder.
pub(super) fn setup(draw: &mut Draw) -> Setup {
    loop {
        if let Some(setup) = attempt(draw, &KeyChoice::default()) {
            return setup;
        }
    }
}

/// Draws one setup; `None` where the key in it cannot be read.
pub(super) fn attempt(draw: &mut Draw, choice: &KeyChoice) -> Option<Setup> {
    let kind = key::Kind::draw(draw, choice);
    // A crystal or a ceramic resonator: parts in ten thousand.
    let frequency_hz = kind.carrier_hz() * (1.0 + 1e-6 * draw.uniform(-300.0, 300.0));
    let mut circuit = ring(draw, frequency_hz)?;
    let mut signal = key::signal(draw, kind, choice);
    let waveform = waveform(draw);
    if draw.chance(CLAMPED) {
        circuit.driver.clamp_volt = Some(waveform.fundamental_volt() * 0.8 + 0.7);
        circuit.driver.resistance_off_ohm = draw.log_uniform(5e3, 50e3);
    }
    let key = match signal.keying {
        Keying::OwnTones(_) => half_duplex::coil(draw, frequency_hz),
        _ => key::fitting(draw, &circuit, frequency_hz, key::HEALTHY_DEPTH)?,
    };
    circuit.keys = vec![key];
    let frame_s = key::frame_s(&signal, frequency_hz);
    let (length_s, field_on_s) = match signal.keying {
        Keying::OwnTones(_) => pattern::charging(draw, frequency_hz),
        _ => pattern::draw(draw, frequency_hz, frame_s),
    };
    if let Keying::OwnTones(own) = &mut signal.keying {
        let level_db = draw.uniform(half_duplex::LEVEL_DB.0, half_duplex::LEVEL_DB.1);
        half_duplex::set_level(own, &circuit, (waveform, frequency_hz), level_db)?;
    }
    let drive = Drive {
        waveform,
        frequency_hz,
        gate_phase: draw.pick(&[(GatePhase::FreeRunning, 0.7), (GatePhase::Restarted, 0.3)]),
        field_on_s,
    };
    let mut setup = Setup {
        circuit,
        drive,
        signals: vec![Some(signal)],
        joint_breaks_s: Vec::new(),
        recorder: recorder::quiet(length_s),
    };
    recorder::draw(draw, &mut setup)?;
    key::is_readable(&setup).then_some(setup)
}

fn waveform(draw: &mut Draw) -> Waveform {
    let supply_volt = draw.pick(&[(5.0, 0.5), (8.0, 0.2), (12.0, 0.3)]);
    let duty = draw.pick(&[(0.5, 0.8), (0.49, 0.1), (0.51, 0.1)]);
    if draw.chance(0.15) {
        return Waveform::Sine {
            amplitude_volt: supply_volt,
        };
    }
    let low_volt = draw.pick(&[(-supply_volt, 0.6), (0.0, 0.4)]);
    Waveform::Square {
        high_volt: supply_volt,
        low_volt,
        duty,
    }
}

/// Share of output stages that go high-impedance, with diodes, when the field goes off.
const CLAMPED: f64 = 0.07;

/// Returns driver, ring and pickup without a key, tuned and damped as drawn.
fn ring(draw: &mut Draw, frequency_hz: f64) -> Option<Circuit> {
    let resonance_hz = frequency_hz * (1.0 + draw.uniform(-TUNING, TUNING));
    let q = draw.log_uniform(Q_RANGE.0, Q_RANGE.1);
    let inductance_henry = draw.log_uniform(0.3e-3, 1.6e-3);
    let total_ohm = TAU * resonance_hz * inductance_henry / q;
    let coil_share = draw.uniform(0.2, 0.6);
    let resistance_on_ohm = total_ohm * (1.0 - coil_share);
    let off_ratio = draw.pick(&[(1.0, 0.6), (0.6, 0.1), (1.5, 0.2), (3.0, 0.1)]);
    let self_resonance_hz = draw.uniform(0.7e6, 1.5e6);
    let circuit = Circuit {
        driver: Driver {
            resistance_on_ohm,
            resistance_off_ohm: resistance_on_ohm * off_ratio,
            clamp_volt: None,
            lead_henry: draw.uniform(0.3e-6, 2e-6),
            cable_farad: draw.uniform(50e-12, 300e-12),
        },
        ring: Ring {
            inductance_henry,
            resistance_ohm: total_ohm * coil_share,
            capacitance_farad: (TAU * resonance_hz).powi(-2) / inductance_henry,
            stray_farad: (TAU * self_resonance_hz).powi(-2) / inductance_henry,
            stray_loss_ohm: TAU
                * self_resonance_hz
                * inductance_henry
                * draw.log_uniform(10.0, 50.0),
            lead_henry: draw.uniform(0.2e-6, 1e-6),
            joint: Joint {
                closed_ohm: draw.uniform(0.05, 0.3),
                broken_ohm: 1e8,
                gap_farad: draw.log_uniform(3e-12, 30e-12),
            },
            coil_short_ohm: None,
            terminal_short_ohm: None,
        },
        pickup: pickup(draw),
        keys: Vec::new(),
        coupling_between_keys: 0.0,
        loops: Vec::new(),
    };
    tuned(circuit, resonance_hz, q)
}

/// A pickup coil with its own, well damped resonance above the carrier.
fn pickup(draw: &mut Draw) -> Pickup {
    let resonance_hz = draw.log_uniform(300e3, 1.2e6);
    let capacitance_farad = draw.uniform(60e-12, 250e-12);
    let inductance_henry = (TAU * resonance_hz).powi(-2) / capacitance_farad;
    let reactance_ohm = TAU * resonance_hz * inductance_henry;
    let coupling_ring = draw.sign() * draw.log_uniform(0.005, 0.08);
    Pickup {
        inductance_henry,
        resistance_ohm: draw.uniform(0.01, 0.05) * reactance_ohm,
        capacitance_farad,
        load_ohm: reactance_ohm * draw.log_uniform(0.8, 6.0),
        coupling_ring,
        coupling_lead: draw.sign() * draw.log_uniform(0.2, 1.0) * coupling_ring,
    }
}

/// Returns the circuit with capacitor and resistances trimmed until its own pole is as wanted.
fn tuned(mut circuit: Circuit, resonance_hz: f64, q: f64) -> Option<Circuit> {
    for _ in 0..4 {
        let pole = circuit
            .ring_pole(&Configuration::resting(&circuit))
            .ok()??;
        circuit.ring.capacitance_farad *= (pole.resonance_hz / resonance_hz).powi(2);
        let damping = pole.q / q;
        circuit.ring.resistance_ohm *= damping;
        circuit.driver.resistance_on_ohm *= damping;
        circuit.driver.resistance_off_ohm *= damping;
    }
    Some(circuit)
}
