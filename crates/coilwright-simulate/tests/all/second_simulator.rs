//! The same circuits in ngspice.

use coilwright_simulate::circuit::{Circuit, ClosedLoop, KeySwitch, State};
use coilwright_simulate::integrate::{Change, Schedule, SwitchEvent, simulate};
use coilwright_simulate::spice;

use crate::{circuits, ngspice};

const STEP_S: f64 = 20e-9;
/// Trapezoidal steps of 20 ns and edges of 1 ns leave less than this of the largest voltage.
const AGREEMENT: f64 = 1e-3;

/// Time and pickup voltage as ngspice has them; `None` where it is not installed.
fn by_ngspice(circuit: &Circuit, schedule: &Schedule, end_s: f64) -> Option<Vec<(f64, f64)>> {
    let netlist = spice::netlist(circuit, schedule, end_s, STEP_S).unwrap();
    let control =
        ".control\nset wr_singlescale\nrun\nwrdata pickup.txt v(pickup)\nquit\n.endc\n.end\n";
    let table = ngspice::run(&netlist.replace(".end\n", control), "pickup.txt")?;
    Some(
        table
            .lines()
            .filter_map(|line| {
                let mut numbers = line.split_whitespace().map_while(|word| word.parse().ok());
                Some((numbers.next()?, numbers.next()?))
            })
            .collect(),
    )
}

/// Largest difference over largest voltage, at every sample of a 1 MS/s capture.
fn difference(name: &str, circuit: &Circuit, schedule: &Schedule, end_s: f64) -> Option<f64> {
    let theirs = by_ngspice(circuit, schedule, end_s)?;
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
        .map(|(index, sample)| (sample - interpolated(&theirs, index as f64 * 1e-6)).abs())
        .fold(0.0, f64::max);
    println!(
        "{name}: largest difference {:.2e} of {peak:.4} V",
        worst / peak
    );
    Some(worst / peak)
}

/// Parabola through the nearest points.
fn interpolated(table: &[(f64, f64)], time_s: f64) -> f64 {
    let after = table
        .partition_point(|point| point.0 < time_s)
        .clamp(1, table.len() - 2);
    let points = &table[after - 1..=after + 1];
    (0..3)
        .map(|this| {
            let weight: f64 = (0..3)
                .filter(|&other| other != this)
                .map(|other| (time_s - points[other].0) / (points[this].0 - points[other].0))
                .product();
            weight * points[this].1
        })
        .sum()
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
