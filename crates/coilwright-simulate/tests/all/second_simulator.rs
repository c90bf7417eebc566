//! The same circuits in ngspice.

use coilwright_simulate::circuit::{Circuit, ClosedLoop, KeySwitch, State};
use coilwright_simulate::integrate::{Change, Schedule, SwitchEvent, Tone, simulate};

use crate::{circuits, ngspice};

const STEP_S: f64 = 20e-9;
/// Trapezoidal steps of 20 ns and edges of 1 ns leave less than this of the largest voltage.
const AGREEMENT: f64 = 1e-3;

/// Largest difference over largest voltage, at every sample of a 1 MS/s capture.
fn difference(name: &str, circuit: &Circuit, schedule: &Schedule, end_s: f64) -> Option<f64> {
    let theirs = ngspice::pickup(circuit, schedule, end_s, STEP_S)?;
    let length = (end_s * 1e6) as usize;
    let ours = simulate(circuit, schedule, 1e6, length, State::PickupVoltage)
        .unwrap()
        .samples;
    let peak = ours
        .iter()
        .fold(0.0_f64, |peak, sample| sample.abs().max(peak));
    let worst = ours
        .iter()
        .enumerate()
        .skip(1)
        .map(|(index, sample)| (sample - ngspice::interpolated(&theirs, index as f64 * 1e-6)).abs())
        .fold(0.0, f64::max);
    println!(
        "{name}: largest difference {:.2e} of {peak:.4} V",
        worst / peak
    );
    Some(worst / peak)
}

fn assert_agree(name: &str, circuit: &Circuit, schedule: &Schedule, end_s: f64) {
    if let Some(difference) = difference(name, circuit, schedule, end_s) {
        assert!(difference < AGREEMENT, "{name}: {difference:e}");
    }
}

#[test]
fn ring_switched_on_and_off() {
    let mut circuit = circuits::plain();
    circuit.driver.resistance_off_ohm = 47.0;
    assert_agree(
        "on and off",
        &circuit,
        &circuits::square(vec![(20e-6, 260e-6)]),
        400e-6,
    );
}

#[test]
fn key_that_switches_its_load() {
    let mut schedule = circuits::square(vec![(8e-6, 400e-6)]);
    schedule.switches = [
        (128e-6, KeySwitch::Closed),
        (256e-6, KeySwitch::Open),
        (300e-6, KeySwitch::Closed),
    ]
    .map(|(time_s, switch)| SwitchEvent {
        time_s,
        change: Change::Key(0, switch),
    })
    .to_vec();
    assert_agree("key load", &circuits::with_key(), &schedule, 400e-6);
}

#[test]
fn one_shorted_turn_of_a_hundred() {
    let mut circuit = circuits::plain();
    circuit.loops.push(ClosedLoop {
        inductance_henry: 70e-9,
        resistance_ohm: 0.12,
        coupling_ring: 0.9,
        coupling_pickup: 0.027,
        coupling_keys: 0.0,
    });
    assert_agree(
        "shorted turn",
        &circuit,
        &circuits::square(vec![(20e-6, 160e-6)]),
        240e-6,
    );
}

#[test]
fn open_ring_rings_on_its_own_capacitance() {
    let mut circuit = circuits::plain();
    circuit.ring.joint.closed_ohm = circuit.ring.joint.broken_ohm;
    assert_agree(
        "open ring",
        &circuit,
        &circuits::square(vec![(8e-6, 44e-6)]),
        60e-6,
    );
}

#[test]
fn joint_that_breaks_into_some_hundred_ohms() {
    let mut circuit = circuits::plain();
    circuit.ring.joint.broken_ohm = 500.0;
    let mut schedule = circuits::square(vec![(8e-6, 400e-6)]);
    schedule.switches = vec![
        SwitchEvent {
            time_s: 200e-6,
            change: Change::JointBreaks,
        },
        SwitchEvent {
            time_s: 300e-6,
            change: Change::JointCloses,
        },
    ];
    assert_agree("joint", &circuit, &schedule, 400e-6);
}

#[test]
fn key_that_sends_two_tones_by_itself() {
    let mut schedule = circuits::square(vec![(8e-6, 160e-6)]);
    let tone = |start_us: f64, end_us: f64, frequency_hz| Tone {
        key: 0,
        start_s: start_us * 1e-6,
        end_s: end_us * 1e-6,
        frequency_hz,
        amplitude_volt: 3.0,
        decay_per_s: 2e3,
    };
    schedule.tones = vec![
        tone(240.0, 280.0, 134.2e3),
        tone(280.0, 330.0, 124.2e3),
        tone(360.0, 390.0, 134.2e3),
    ];
    assert_agree("tones", &circuits::with_key(), &schedule, 420e-6);
}
