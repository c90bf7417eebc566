use std::f64::consts::TAU;

use super::draw::Draw;
use crate::circuit::{Circuit, ClosedLoop, Configuration, Pole};
use crate::scenario::{Fault, Scenario, Setup};

/// Share of ring faults that come with a reference.
const WITH_REFERENCE: f64 = 0.5;
/// Share of ring faults with a key in the field.
const WITH_KEY: f64 = 0.7;

/// Returns the scenario that a fault makes of a healthy setup; `None` when this draw cannot show the fault.
pub(super) fn apply(fault: Fault, seed: u64, healthy: Setup, draw: &mut Draw) -> Option<Scenario> {
    let mut setup = healthy.clone();
    let is_ring_fault = match fault {
        Fault::KeySilent => {
            silence(&mut setup, draw);
            false
        }
        Fault::RingOpen => {
            setup.circuit.ring.joint.closed_ohm = setup.circuit.ring.joint.broken_ohm;
            raise_gain(&mut setup, draw)?;
            true
        }
        Fault::MetalNear => {
            put_metal_near(&mut setup, draw)?;
            true
        }
        Fault::None => false,
        _ => return None,
    };
    if is_ring_fault && !draw.chance(WITH_KEY) {
        remove_keys(&mut setup);
    }
    let reference =
        (is_ring_fault && draw.chance(WITH_REFERENCE)).then(|| reference(&healthy, draw));
    Some(Scenario {
        fault,
        seed,
        setup,
        reference,
    })
}

fn remove_keys(setup: &mut Setup) {
    setup.circuit.keys.clear();
    setup.signals.clear();
}

fn silence(setup: &mut Setup, draw: &mut Draw) {
    if draw.chance(0.5) {
        remove_keys(setup);
    } else {
        setup.signals.fill(None);
    }
}

/// The healthy setup on another day: the pickup is not quite where it was.
fn reference(healthy: &Setup, draw: &mut Draw) -> Setup {
    let mut setup = healthy.clone();
    let moved = 1.0 + draw.uniform(-0.1, 0.1);
    setup.circuit.pickup.coupling_ring *= moved;
    setup.circuit.pickup.coupling_lead *= moved;
    setup
}

/// A technician turns the gain up when there is little to see.
fn raise_gain(setup: &mut Setup, draw: &mut Draw) -> Option<()> {
    let peak_volt = setup.carrier_volt().ok()?
        + 4.0 * setup.recorder.noise_rms_volt
        + setup.recorder.offset_volt.abs();
    if draw.chance(0.7) {
        setup.recorder.full_scale_volt = peak_volt / draw.uniform(0.05, 0.4);
    }
    Some(())
}

fn pole(circuit: &Circuit) -> Option<Pole> {
    let alone = circuit.without_keys();
    alone.ring_pole(&Configuration::resting(&alone)).ok()?
}

/// A collar or a plate: one closed loop that raises the resonance by 2 to 12 %.
fn put_metal_near(setup: &mut Setup, draw: &mut Draw) -> Option<()> {
    let before = pole(&setup.circuit)?;
    let inductance_henry = draw.log_uniform(0.1e-6, 2e-6);
    let coupling_ring = draw.uniform(0.15, 0.46);
    let coupling_keys = setup
        .circuit
        .keys
        .first()
        .map_or(0.0, |key| key.coupling_ring * coupling_ring);
    setup.circuit.loops.push(ClosedLoop {
        inductance_henry,
        resistance_ohm: TAU * before.resonance_hz * inductance_henry / draw.log_uniform(3.0, 40.0),
        coupling_ring,
        coupling_pickup: setup.circuit.pickup.coupling_ring * coupling_ring,
        coupling_keys,
    });
    let shift = pole(&setup.circuit)?.resonance_hz / before.resonance_hz - 1.0;
    (0.02..=0.12).contains(&shift).then_some(())
}
