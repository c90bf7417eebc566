//! What a pickup coil near a lock is known to see, from prototype circuit simulations: the random scenarios must show
//! it too. The numbers are a model's, not a measurement's.

use coilwright_simulate::circuit::{
    Circuit, ClosedLoop, Configuration, KeySwitch, State, StateSpace,
};
use coilwright_simulate::integrate::Waveform;
use coilwright_simulate::scenario::{EdgeKind, Setup};
use coilwright_simulate::{Fault, Scenario};

use crate::circuits;

const DRAWS: u64 = 60;

fn setups(fault: Fault) -> impl Iterator<Item = Setup> {
    (0..DRAWS).map(move |seed| {
        let scenario = Scenario::random(fault, seed);
        assert_eq!(scenario.fault, fault, "seed {seed}");
        scenario.setup
    })
}

fn level_db(ratio: f64) -> f64 {
    20.0 * ratio.log10()
}

/// Third harmonic over fundamental at the pickup in steady state, rising; setups with a square drive only.
fn third_harmonics_db(fault: Fault) -> Vec<f64> {
    let mut levels: Vec<f64> = setups(fault)
        .filter(|setup| matches!(setup.drive.waveform, Waveform::Square { .. }))
        .map(|setup| {
            let resting = Configuration::resting(&setup.circuit);
            let at = |frequency_hz| {
                setup
                    .circuit
                    .pickup_response(&resting, frequency_hz)
                    .unwrap()
                    .norm()
            };
            level_db(at(3.0 * setup.drive.frequency_hz) / 3.0 / at(setup.drive.frequency_hz))
        })
        .collect();
    levels.sort_by(f64::total_cmp);
    levels
}

#[test]
fn third_harmonic_stands_out_where_the_ring_is_broken() {
    let median = |levels: Vec<f64>| levels[levels.len() / 2];
    let healthy = median(third_harmonics_db(Fault::None));
    let open = median(third_harmonics_db(Fault::RingOpen));
    let shorted = median(third_harmonics_db(Fault::RingShorted));
    assert!((-35.0..-23.0).contains(&healthy), "{healthy}");
    assert!((5.0..17.0).contains(&open), "{open}");
    assert!((3.0..16.0).contains(&shorted), "{shorted}");
}

#[test]
fn broken_rings_leave_millivolts_against_volts() {
    for fault in [Fault::RingOpen, Fault::RingShorted] {
        for (seed, broken) in (0..).zip(setups(fault)) {
            let mut healed = broken.clone();
            healed.circuit.ring.joint.closed_ohm = 0.1;
            healed.circuit.ring.coil_short_ohm = None;
            healed.circuit.ring.terminal_short_ohm = None;
            let left_db = level_db(broken.carrier_volt().unwrap() / healed.carrier_volt().unwrap());
            assert!(
                (-120.0..-12.0).contains(&left_db),
                "{fault:?} {seed}: {left_db}"
            );
        }
    }
}

#[test]
fn healthy_depth_spans_a_decade_and_more() {
    let mut depths: Vec<f64> = setups(Fault::None)
        .map(|setup| setup.depth(0).unwrap().total)
        .collect();
    depths.sort_by(f64::total_cmp);
    assert!(depths[0] > 0.007_9 && depths[0] < 0.015, "{}", depths[0]);
    assert!(depths[depths.len() - 1] < 0.171 && depths[depths.len() - 1] > 0.1);
}

#[test]
fn off_resonance_the_modulation_can_be_nearly_pure_phase() {
    let share = |setup: &Setup| {
        let depth = setup.depth(0).unwrap();
        depth.amplitude.abs() / depth.total
    };
    let shares: Vec<f64> = setups(Fault::None).map(|setup| share(&setup)).collect();
    assert!(shares.iter().any(|share| *share < 0.2), "{shares:?}");
    assert!(shares.iter().any(|share| *share > 0.9), "{shares:?}");
}

#[test]
fn the_heavy_load_may_raise_the_carrier_or_lower_it() {
    let raised = setups(Fault::None)
        .filter(|setup| setup.depth(0).unwrap().amplitude > 0.0)
        .count();
    assert!(
        (10..DRAWS as usize).contains(&raised),
        "{raised} of {DRAWS}"
    );
}

#[test]
fn a_key_pulls_the_pole_by_up_to_a_few_percent() {
    let mut pulls: Vec<f64> = (0..DRAWS)
        .map(|seed| {
            let setup = Scenario::random(Fault::None, seed).setup;
            let alone = setup.circuit.without_keys();
            let pole = |circuit: &Circuit| {
                circuit
                    .ring_pole(&Configuration::resting(circuit))
                    .unwrap()
                    .unwrap()
            };
            (pole(&setup.circuit).resonance_hz / pole(&alone).resonance_hz - 1.0).abs()
        })
        .collect();
    pulls.sort_by(f64::total_cmp);
    let median = pulls[pulls.len() / 2];
    assert!((0.0001..0.005).contains(&median), "{median}");
    assert!(pulls[pulls.len() * 9 / 10] < 0.03, "{pulls:?}");
}

#[test]
fn shorted_turns_leave_little_q() {
    let mut qs: Vec<f64> = setups(Fault::TurnsShorted)
        .filter_map(|setup| {
            setup
                .circuit
                .ring_pole(&Configuration::resting(&setup.circuit))
                .unwrap()
        })
        .map(|pole| pole.q)
        .collect();
    qs.sort_by(f64::total_cmp);
    assert!(qs[qs.len() / 2] < 4.0, "{qs:?}");
}

#[test]
fn metal_raises_the_resonance_and_lowers_q() {
    for (seed, setup) in (0..).zip(setups(Fault::MetalNear)) {
        let pole = |circuit: &Circuit| {
            circuit
                .ring_pole(&Configuration::resting(circuit))
                .unwrap()
                .unwrap()
        };
        let near = pole(&setup.circuit.without_keys());
        let mut bare = setup.circuit.without_keys();
        bare.loops.clear();
        let alone = pole(&bare);
        let shift = near.resonance_hz / alone.resonance_hz - 1.0;
        assert!((0.019..0.121).contains(&shift), "{seed}: {shift}");
        // Even a lossless loop lowers Q/f0 by twice the shift in ln f0.
        let fall = (alone.q / alone.resonance_hz / (near.q / near.resonance_hz)).ln();
        assert!(fall > 1.9 * shift.ln_1p(), "{seed}: {fall} {shift}");
    }
}

#[test]
fn a_lossless_loop_lowers_q_over_f0_by_twice_the_shift() {
    let mut circuit = circuits::plain();
    // Losses in parallel would not keep their resistance in series.
    circuit.ring.stray_loss_ohm = 1e9;
    circuit.pickup.coupling_ring = 1e-3;
    let before = circuit
        .ring_pole(&Configuration::resting(&circuit))
        .unwrap()
        .unwrap();
    circuit.loops.push(ClosedLoop {
        inductance_henry: 1e-6,
        resistance_ohm: 1e-6,
        coupling_ring: 0.3,
        coupling_pickup: 0.0,
        coupling_keys: 0.0,
    });
    let after = circuit
        .ring_pole(&Configuration::resting(&circuit))
        .unwrap()
        .unwrap();
    let shift = (after.resonance_hz / before.resonance_hz).ln();
    let fall = (before.q / before.resonance_hz / (after.q / after.resonance_hz)).ln();
    // L(1 − k²) with the same resistance: exact but for the parasitic elements.
    assert!((fall / shift - 2.0).abs() < 0.02, "{fall} {shift}");
}

#[test]
fn an_open_ring_resonates_near_a_megahertz() {
    for (seed, setup) in (0..).zip(setups(Fault::RingOpen)) {
        let circuit = setup.circuit.without_keys();
        let space = StateSpace::new(&circuit, &Configuration::resting(&circuit)).unwrap();
        let pole = space.pole_of(State::CoilCurrent).unwrap().unwrap();
        assert!(
            (0.4e6..1.6e6).contains(&pole.resonance_hz),
            "{seed}: {pole:?}"
        );
    }
}

#[test]
fn a_folded_harmonic_shows_a_carrier_that_is_not_there() {
    // At 1 MS/s the seventh and ninth harmonic of 125 kHz fold onto it, and the open ring resonates between them.
    let mut circuit = circuits::plain();
    circuit.ring.joint.closed_ohm = circuit.ring.joint.broken_ohm;
    circuit.ring.stray_farad = 45e-12;
    let resting = Configuration::resting(&circuit);
    let at = |harmonic: f64| {
        circuit
            .pickup_response(&resting, 125e3 * harmonic)
            .unwrap()
            .norm()
            / harmonic
    };
    assert!(at(7.0) > 10.0 * at(1.0), "{} {}", at(7.0), at(1.0));
}

#[test]
fn faults_show_what_they_stand_for() {
    for setup in setups(Fault::NotDriven) {
        assert!(setup.drive.field_on_s.is_empty());
    }
    for seed in 0..DRAWS {
        let weak = Scenario::random(Fault::DriveWeak, seed);
        let reference = weak.reference.unwrap();
        let left = weak.setup.circuit.without_keys();
        let level = |setup: &Setup, circuit: &Circuit| {
            let response =
                circuit.pickup_response(&Configuration::resting(circuit), setup.drive.frequency_hz);
            response.unwrap().norm() * setup.drive.waveform.fundamental_volt()
        };
        let ratio =
            level(&weak.setup, &left) / level(&reference, &reference.circuit.without_keys());
        assert!((0.1..0.75).contains(&ratio), "{seed}: {ratio}");
    }
    for setup in setups(Fault::KeyWeak) {
        let depth = setup.depth(0).unwrap().total;
        assert!((0.000_79..0.005_1).contains(&depth), "{depth}");
    }
    for setup in setups(Fault::CarrierOff) {
        let frequency_hz = setup.drive.frequency_hz;
        let off = [125_000.0, 134_200.0].map(|nominal| (frequency_hz / nominal - 1.0).abs());
        assert!(
            off.iter().any(|off| (0.029..0.101).contains(off)),
            "{frequency_hz}"
        );
    }
    for setup in setups(Fault::KeysCollide) {
        assert_eq!(setup.signals.iter().flatten().count(), 2);
    }
    for setup in setups(Fault::JointIntermittent) {
        assert!(setup.joint_breaks_s.len() >= 2);
    }
}

#[test]
fn edges_of_the_truth_stand_where_the_samples_change() {
    let simulated = Scenario::random(Fault::KeySilent, 11).simulate().unwrap();
    let samples = &simulated.capture.samples;
    let power = |from: usize, to: usize| {
        samples[from..to]
            .iter()
            .map(|sample| f64::from(*sample).powi(2))
            .sum::<f64>()
            / (to - from) as f64
    };
    assert!(!simulated.truth.edges.is_empty());
    for edge in &simulated.truth.edges {
        let at = edge.sample as usize;
        let (before, after) = (power(at - 400, at), power(at, at + 400));
        match edge.kind {
            EdgeKind::On => assert!(after > 3.0 * before, "{edge:?} {before} {after}"),
            EdgeKind::Off => assert!(before > 3.0 * after, "{edge:?} {before} {after}"),
        }
    }
}

#[test]
fn a_mute_key_still_loads_the_ring() {
    let mute = Scenario::random(Fault::KeySilent, 11).setup;
    let mut circuit = circuits::with_key();
    assert!(mute.signals.iter().all(Option::is_none));
    let open = Configuration::resting(&circuit);
    let with = circuit.pickup_response(&open, 125e3).unwrap();
    let closed = circuit
        .pickup_response(&open.with_keys(KeySwitch::Closed), 125e3)
        .unwrap();
    circuit.keys.clear();
    let without = circuit
        .pickup_response(&Configuration::resting(&circuit), 125e3)
        .unwrap();
    assert!((with - without).norm() > (with - closed).norm() * 0.1);
}
