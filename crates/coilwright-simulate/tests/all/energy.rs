//! What the driver gives is dissipated or stored.

use coilwright_simulate::circuit::{
    Circuit, ClosedLoop, Configuration, KeySwitch, State, StateSpace,
};
use coilwright_simulate::integrate::{Change, Schedule, SwitchEvent, simulate};

use crate::circuits;

/// Samples of a half cycle of the drive; Boole's rule on 512 of them is good to rounding for the modes of this test.
const PER_HALF_CYCLE: usize = 512;
const HALF_CYCLES: usize = 60;
const BALANCE: f64 = 1e-9;

/// Key, metal loop, and parasitic elements slow enough to be integrated by a quadrature rule.
fn circuit() -> Circuit {
    let mut circuit = circuits::with_key();
    circuit.driver.lead_henry = 20e-6;
    circuit.driver.cable_farad = 3e-9;
    circuit.ring.lead_henry = 20e-6;
    circuit.ring.stray_farad = 300e-12;
    circuit.ring.joint.closed_ohm = 30.0;
    circuit.ring.joint.broken_ohm = 300.0;
    circuit.ring.joint.gap_farad = 20e-9;
    circuit.loops.push(ClosedLoop {
        inductance_henry: 1e-6,
        resistance_ohm: 0.1,
        coupling_ring: 0.3,
        coupling_pickup: 0.01,
        coupling_keys: 0.01,
    });
    circuit
}

fn schedule() -> Schedule {
    let half_cycle_s = 4e-6;
    let at = |half_cycle: f64, change| SwitchEvent {
        time_s: half_cycle * half_cycle_s,
        change,
    };
    let mut schedule = circuits::square(vec![(0.0, 44.0 * half_cycle_s)]);
    schedule.switches = vec![
        at(12.0, Change::Key(0, KeySwitch::Closed)),
        at(20.0, Change::JointBreaks),
        at(26.0, Change::JointCloses),
        at(31.0, Change::Key(0, KeySwitch::Open)),
    ];
    schedule
}

/// Boole's rule over every half cycle by itself: derivatives jump only between them.
fn integrals(values: &[f64]) -> Vec<f64> {
    let step_s = 4e-6 / PER_HALF_CYCLE as f64;
    (0..HALF_CYCLES)
        .map(|half_cycle| {
            let part = &values[half_cycle * PER_HALF_CYCLE..=(half_cycle + 1) * PER_HALF_CYCLE];
            part.windows(5)
                .step_by(4)
                .map(|v| {
                    2.0 / 45.0 * step_s * (7.0 * (v[0] + v[4]) + 32.0 * (v[1] + v[3]) + 12.0 * v[2])
                })
                .sum()
        })
        .collect()
}

fn configuration(circuit: &Circuit, half_cycle: usize) -> Configuration {
    let mut configuration = Configuration::resting(circuit);
    configuration.joint_closed = !(20..26).contains(&half_cycle);
    if (12..31).contains(&half_cycle) {
        configuration.keys[0] = KeySwitch::Closed;
    }
    configuration
}

#[test]
fn input_is_dissipated_or_stored() {
    let circuit = circuit();
    let schedule = schedule();
    let rate_hz = PER_HALF_CYCLE as f64 / 4e-6;
    let states = StateSpace::new(&circuit, &Configuration::resting(&circuit))
        .unwrap()
        .states;
    let length = HALF_CYCLES * PER_HALF_CYCLE + 1;
    let trace = |state| {
        simulate(&circuit, &schedule, rate_hz, length, state)
            .unwrap()
            .samples
    };

    let current = integrals(&trace(State::DriverCurrent));
    let input: f64 = (0..44)
        .map(|half_cycle| if half_cycle % 2 == 0 { 5.0 } else { -5.0 } * current[half_cycle])
        .sum();

    let mut dissipated = 0.0;
    let mut last = Vec::new();
    for (row, &state) in states.iter().enumerate() {
        let values = trace(state);
        let squares: Vec<f64> = values.iter().map(|value| value * value).collect();
        for (half_cycle, integral) in integrals(&squares).into_iter().enumerate() {
            let space = StateSpace::new(&circuit, &configuration(&circuit, half_cycle)).unwrap();
            dissipated += space.dissipation[row] * integral;
        }
        last.push((state, values[length - 1]));
    }
    let stored = stored(&circuit, &last);
    assert!(input > 1e-6 && stored > 1e-8 * input, "{input} {stored}");
    let imbalance = (input - dissipated - stored) / input;
    assert!(
        imbalance.abs() < BALANCE,
        "{imbalance:e}: {input} {dissipated} {stored}"
    );
}

/// `½ iᵀ L i + ½ C v²` from the elements.
fn stored(circuit: &Circuit, states: &[(State, f64)]) -> f64 {
    let value = |wanted: State| states.iter().find(|(state, _)| *state == wanted).unwrap().1;
    let (ring, pickup, key, metal) = (
        &circuit.ring,
        &circuit.pickup,
        &circuit.keys[0],
        &circuit.loops[0],
    );
    let coils = [
        (circuit.driver.lead_henry, value(State::DriverCurrent)),
        (ring.lead_henry, value(State::RingLeadCurrent)),
        (ring.inductance_henry, value(State::CoilCurrent)),
        (pickup.inductance_henry, value(State::PickupCurrent)),
        (metal.inductance_henry, value(State::LoopCurrent(0))),
        (key.inductance_henry, value(State::KeyCurrent(0))),
    ];
    let couplings = [
        (0, 3, pickup.coupling_lead),
        (2, 3, pickup.coupling_ring),
        (2, 4, metal.coupling_ring),
        (2, 5, key.coupling_ring),
        (3, 4, metal.coupling_pickup),
        (3, 5, key.coupling_pickup),
        (4, 5, metal.coupling_keys),
    ];
    let capacitors = [
        (circuit.driver.cable_farad, value(State::CableVoltage)),
        (ring.capacitance_farad, value(State::SeriesVoltage)),
        (ring.joint.gap_farad, value(State::JointVoltage)),
        (ring.stray_farad, value(State::CoilVoltage)),
        (pickup.capacitance_farad, value(State::PickupVoltage)),
        (key.capacitance_farad, value(State::KeyVoltage(0))),
    ];
    let own: f64 = coils
        .iter()
        .chain(&capacitors)
        .map(|(size, value)| 0.5 * size * value * value)
        .sum();
    let mutual: f64 = couplings
        .iter()
        .map(|&(a, b, factor)| factor * (coils[a].0 * coils[b].0).sqrt() * coils[a].1 * coils[b].1)
        .sum();
    own + mutual
}
