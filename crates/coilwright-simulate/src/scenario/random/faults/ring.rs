use std::f64::consts::TAU;

use super::super::draw::Draw;
use crate::circuit::{Circuit, ClosedLoop, Configuration, Pole};
use crate::scenario::Setup;

/// A wire or a joint is broken; what is left is the capacitance across the gap.
pub(super) fn open(setup: &mut Setup) {
    let joint = &mut setup.circuit.ring.joint;
    joint.closed_ohm = joint.broken_ohm;
}

/// A short across the coil, or across the terminals before the capacitor.
pub(super) fn short(setup: &mut Setup, draw: &mut Draw) {
    let ring = &mut setup.circuit.ring;
    let short_ohm = Some(draw.log_uniform(0.02, 0.5));
    if draw.chance(0.7) {
        ring.coil_short_ohm = short_ohm;
    } else {
        ring.terminal_short_ohm = short_ohm;
    }
}

/// 1 to 20 % of the turns become a closed loop, tightly coupled to the rest.
///
/// `L` goes with the square of the turns; few turns are more tightly bunched than the whole winding.
pub(super) fn short_turns(setup: &mut Setup, draw: &mut Draw) {
    let share = draw.log_uniform(0.01, 0.2);
    let coupling_ring = draw.uniform(0.85, 0.97);
    let coupling_keys = first_key_coupling(&setup.circuit) * coupling_ring;
    let coupling_pickup = setup.circuit.pickup.coupling_ring * coupling_ring;
    let ring = &mut setup.circuit.ring;
    let turns = ClosedLoop {
        inductance_henry: ring.inductance_henry * share * share * draw.uniform(1.0, 1.3),
        resistance_ohm: ring.resistance_ohm * share + draw.log_uniform(0.005, 0.1),
        coupling_ring,
        coupling_pickup,
        coupling_keys,
    };
    ring.inductance_henry *= (1.0 - share).powi(2);
    ring.resistance_ohm *= 1.0 - share;
    setup.circuit.loops.push(turns);
}

/// A collar or a plate: one closed loop that raises the resonance by 2 to 12 %.
pub(super) fn put_metal_near(setup: &mut Setup, draw: &mut Draw) -> Option<()> {
    let before = pole(&setup.circuit)?;
    let inductance_henry = draw.log_uniform(0.1e-6, 2e-6);
    let coupling_ring = draw.uniform(0.15, 0.46);
    setup.circuit.loops.push(ClosedLoop {
        inductance_henry,
        resistance_ohm: TAU * before.resonance_hz * inductance_henry / draw.log_uniform(3.0, 40.0),
        coupling_ring,
        coupling_pickup: setup.circuit.pickup.coupling_ring * coupling_ring,
        coupling_keys: first_key_coupling(&setup.circuit) * coupling_ring,
    });
    let shift = pole(&setup.circuit)?.resonance_hz / before.resonance_hz - 1.0;
    (0.02..=0.12).contains(&shift).then_some(())
}

/// The capacitor has lost or gained 8 to 30 %.
pub(super) fn drift(setup: &mut Setup, draw: &mut Draw) {
    setup.circuit.ring.capacitance_farad *= 1.0 + draw.sign() * draw.uniform(0.08, 0.30);
}

fn pole(circuit: &Circuit) -> Option<Pole> {
    let alone = circuit.without_keys();
    alone.ring_pole(&Configuration::resting(&alone)).ok()?
}

fn first_key_coupling(circuit: &Circuit) -> f64 {
    circuit.keys.first().map_or(0.0, |key| key.coupling_ring)
}
