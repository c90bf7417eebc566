//! Properties that hold for every circuit and every scenario, and errors for what makes no sense.

use coilwright_signal::frame::FrameKind;
use coilwright_simulate::circuit::{ClosedLoop, Configuration, State, StateSpace};
use coilwright_simulate::impair::Hum;
use coilwright_simulate::integrate::{Change, SwitchEvent, simulate};
use coilwright_simulate::modulate::LineCode;
use coilwright_simulate::scenario::{AntiAlias, KeyChoice, KeyModulation};
use coilwright_simulate::{Fault, Scenario, SimulateError};
use nalgebra::DMatrix;
use proptest::prelude::*;

use crate::circuits;

/// Rounding of a few thousand steps.
const ROUNDING: f64 = 1e-9;

fn worst(a: &[f64], b: &[f64]) -> f64 {
    assert_eq!(a.len(), b.len());
    a.iter()
        .zip(b)
        .fold(0.0, |worst, (a, b)| worst.max((a - b).abs()))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Twice the rate gives the same voltage at every second sample.
    #[test]
    fn the_sampling_grid_does_not_matter(start_us in 0.0..40.0_f64, frequency_hz in 90e3..160e3_f64) {
        let circuit = circuits::with_key();
        let mut schedule = circuits::square(vec![(start_us * 1e-6, 300e-6)]);
        schedule.drive.frequency_hz = frequency_hz;
        let slow = simulate(&circuit, &schedule, 1e6, 400, State::PickupVoltage).unwrap().samples;
        let fast = simulate(&circuit, &schedule, 2e6, 800, State::PickupVoltage).unwrap().samples;
        let every_second: Vec<f64> = fast.into_iter().step_by(2).collect();
        prop_assert!(worst(&slow, &every_second) < ROUNDING);
    }

    /// A switch event that changes nothing changes nothing.
    #[test]
    fn a_needless_event_does_not_matter(times_us in prop::collection::vec(0.0..400.0_f64, 1..20)) {
        let circuit = circuits::with_key();
        let mut schedule = circuits::square(vec![(10e-6, 300e-6)]);
        let plain = simulate(&circuit, &schedule, 1e6, 400, State::PickupVoltage).unwrap();
        schedule.switches = times_us
            .iter()
            .map(|time_us| SwitchEvent { time_s: time_us * 1e-6, change: Change::JointCloses })
            .collect();
        let split = simulate(&circuit, &schedule, 1e6, 400, State::PickupVoltage).unwrap();
        prop_assert!(worst(&plain.samples, &split.samples) < ROUNDING);
        prop_assert!((plain.final_states - split.final_states).norm() < ROUNDING);
    }

    /// The response is linear in the drive.
    #[test]
    fn the_drive_scales_the_voltage(factor in -3.0..3.0_f64) {
        let circuit = circuits::with_key();
        let mut schedule = circuits::square(vec![(10e-6, 300e-6)]);
        let one = simulate(&circuit, &schedule, 1e6, 400, State::PickupVoltage).unwrap().samples;
        schedule.drive.waveform = schedule.drive.waveform.scaled(factor);
        let scaled = simulate(&circuit, &schedule, 1e6, 400, State::PickupVoltage).unwrap().samples;
        let expected: Vec<f64> = one.iter().map(|volt| volt * factor).collect();
        prop_assert!(worst(&scaled, &expected) < ROUNDING);
    }

    /// The state moves by the matrix exponential, another algorithm than modes.
    #[test]
    fn free_decay_is_the_matrix_exponential(time_us in 1.0..50.0_f64) {
        let circuit = circuits::with_key();
        let resting = Configuration::resting(&circuit);
        let space = StateSpace::new(&circuit, &resting).unwrap();
        let schedule = circuits::square(vec![(0.0, 40e-6)]);
        let run = |end_s: f64| {
            // One sample a run: its length is the time at which the states are read.
            simulate(&circuit, &schedule, end_s.recip(), 1, State::PickupVoltage).unwrap().final_states
        };
        let start = run(40e-6);
        let end = run(40e-6 + time_us * 1e-6);
        let energy = space.physical.clone().lu().solve(&start).unwrap();
        let moved = exponential(&(space.system.clone() * (time_us * 1e-6))) * energy;
        let difference = &space.physical * moved - &end;
        // Squaring thirty times and more doubles the rounding of some 100 V as often.
        prop_assert!(difference.norm() < 1e-4, "{difference}");
    }
}

/// Scaling and squaring with a Taylor series, the slowest and plainest way.
fn exponential(matrix: &DMatrix<f64>) -> DMatrix<f64> {
    let halvings = (matrix.norm().log2().ceil().max(0.0) as i32) + 4;
    let small = matrix / f64::from(halvings).exp2();
    let mut term = DMatrix::identity(matrix.nrows(), matrix.nrows());
    let mut sum = term.clone();
    for order in 1..16 {
        term = &term * &small / f64::from(order);
        sum += &term;
    }
    for _ in 0..halvings {
        sum = &sum * &sum;
    }
    sum
}

#[test]
fn the_same_seed_gives_the_same_capture() {
    for fault in [Fault::None, Fault::KeysCollide, Fault::Interference] {
        let once = Scenario::random(fault, 5).simulate().unwrap();
        let again = Scenario::random(fault, 5).simulate().unwrap();
        assert_eq!(once.capture, again.capture);
        assert_eq!(once.truth, again.truth);
        assert_ne!(
            once.capture.samples,
            Scenario::random(fault, 6)
                .simulate()
                .unwrap()
                .capture
                .samples
        );
    }
}

#[test]
fn every_fault_simulates() {
    for fault in Fault::ALL {
        let simulated = Scenario::random(fault, 1).simulate().unwrap();
        assert_eq!(simulated.truth.fault, fault);
        assert!(
            simulated
                .capture
                .samples
                .iter()
                .all(|sample| sample.is_finite())
        );
        assert!(
            serde_json::to_string(&simulated.truth)
                .unwrap()
                .contains(fault.identifier())
        );
    }
}

#[test]
fn a_low_pass_leaves_nothing_of_a_carrier_above_half_the_rate() {
    let mut setup = Scenario::random(Fault::KeySilent, 3).setup;
    setup.recorder.sample_rate_hz = 192e3;
    setup.recorder.noise_rms_volt = 0.0;
    setup.recorder.offset_volt = 0.0;
    setup.recorder.hum = None;
    setup.recorder.bits = None;
    let mut scenario = Scenario {
        fault: Fault::KeySilent,
        seed: 1,
        setup,
        reference: None,
    };
    let power = |scenario: &Scenario| {
        let samples = scenario.simulate().unwrap().capture.samples;
        samples
            .iter()
            .map(|sample| f64::from(*sample).powi(2))
            .sum::<f64>()
    };
    let folded = power(&scenario);
    scenario.setup.recorder.anti_alias = AntiAlias::LowPass {
        oversampling: 8,
        cutoff: 0.45,
    };
    assert!(power(&scenario) < 1e-4 * folded);
}

#[test]
fn hum_and_offset_are_where_they_were_put() {
    let mut setup = Scenario::random(Fault::NotDriven, 3).setup;
    setup.recorder.noise_rms_volt = 0.0;
    setup.recorder.lines.clear();
    setup.recorder.sample_rate_hz = 500e3;
    setup.recorder.clock_error_ppm = 0.0;
    setup.recorder.length_s = 0.2;
    setup.recorder.bits = None;
    setup.recorder.offset_volt = 0.25;
    setup.recorder.hum = Some(Hum {
        frequency_hz: 50.0,
        amplitude_volt: 0.1,
        partials: 1,
        phase_rad: 0.0,
    });
    let samples = Scenario {
        fault: Fault::NotDriven,
        seed: 1,
        setup,
        reference: None,
    }
    .simulate()
    .unwrap()
    .capture
    .samples;
    let count = samples.len() as f64;
    let mean = samples.iter().map(|sample| f64::from(*sample)).sum::<f64>() / count;
    let power = samples
        .iter()
        .map(|sample| (f64::from(*sample) - mean).powi(2))
        .sum::<f64>()
        / count;
    assert!(
        (mean - 0.25).abs() < 1e-5 && (power - 0.005).abs() < 1e-5,
        "{mean} {power}"
    );
}

#[test]
fn couplings_that_contradict_each_other_are_refused() {
    let mut circuit = circuits::plain();
    circuit.pickup.coupling_ring = 0.9;
    circuit.loops.push(ClosedLoop {
        inductance_henry: 1e-6,
        resistance_ohm: 0.1,
        coupling_ring: 0.9,
        coupling_pickup: -0.9,
        coupling_keys: 0.0,
    });
    let error = StateSpace::new(&circuit, &Configuration::resting(&circuit)).unwrap_err();
    assert!(
        matches!(error, SimulateError::NotPositiveDefinite { coils: 5 }),
        "{error}"
    );
}

#[test]
fn values_that_make_no_sense_are_named() {
    let mut circuit = circuits::plain();
    circuit.ring.capacitance_farad = -1e-9;
    let error = StateSpace::new(&circuit, &Configuration::resting(&circuit)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "ring.capacitance_farad is -0.000000001, expected a finite number above 0"
    );

    let mut scenario = Scenario::random(Fault::None, 1);
    scenario.setup.signals.clear();
    assert_eq!(
        scenario.simulate().unwrap_err().to_string(),
        "signals is 0, expected one signal, or none, for each key of the circuit"
    );

    let mut scenario = Scenario::random(Fault::None, 1);
    scenario.setup.recorder.bits = Some(1);
    assert_eq!(
        scenario.simulate().unwrap_err().to_string(),
        "recorder.bits is 1, expected 2 to 24 bits"
    );

    let mut schedule = circuits::square(vec![(0.2, 0.1)]);
    let plain = circuits::plain();
    let error = simulate(&plain, &schedule, 1e6, 10, State::PickupVoltage).unwrap_err();
    assert_eq!(
        error.to_string(),
        "drive.field_on_s is 0.2, expected rising bursts that do not overlap"
    );
    schedule.drive.field_on_s.clear();
    schedule.switches.push(SwitchEvent {
        time_s: 0.0,
        change: Change::Key(3, coilwright_simulate::circuit::KeySwitch::Open),
    });
    let error = simulate(&plain, &schedule, 1e6, 10, State::PickupVoltage).unwrap_err();
    assert_eq!(
        error.to_string(),
        "switches.key is 3, expected the index of a key of the circuit"
    );
}

#[test]
fn a_key_is_what_was_chosen() {
    let choice = KeyChoice {
        modulation: Some(KeyModulation::Fsk),
        subcarrier_clocks: Some(vec![5, 8]),
        clocks_per_bit: Some(40),
        ..KeyChoice::default()
    };
    let truth = Scenario::random_with_key(Fault::None, 1, &choice)
        .unwrap()
        .simulate()
        .unwrap()
        .truth;
    let key = &truth.keys[0];
    assert_eq!(
        (key.modulation, &key.subcarrier_clocks),
        ("fsk", &vec![5, 8])
    );
    assert_eq!(key.clocks_per_bit, Some(40));

    let hdx = KeyChoice {
        frame: Some(FrameKind::Hdx),
        ..KeyChoice::default()
    };
    let truth = Scenario::random_with_key(Fault::None, 1, &hdx)
        .unwrap()
        .simulate()
        .unwrap()
        .truth;
    let reply = truth.keys[0].reply.unwrap();
    let level_db =
        20.0 * (reply.tones_volt[0].max(reply.tones_volt[1]) / truth.carrier_volt).log10();
    assert!((-51.0..-39.0).contains(&level_db), "{level_db}");
    assert_eq!(
        Scenario::random_with_key(Fault::None, 3, &KeyChoice::default()).unwrap(),
        Scenario::random(Fault::None, 3)
    );
}

#[test]
fn choices_that_do_not_go_together_are_named() {
    let clash = |choice: KeyChoice, fault| {
        Scenario::random_with_key(fault, 1, &choice)
            .unwrap_err()
            .to_string()
    };
    let hdx = KeyChoice {
        frame: Some(FrameKind::Hdx),
        ..KeyChoice::default()
    };
    assert_eq!(
        clash(
            KeyChoice {
                line_code: Some(LineCode::Miller),
                ..hdx.clone()
            },
            Fault::None
        ),
        "line code or bit length does not go with a key of modulation half_duplex, expected none for a half-duplex key: \
         its bits are 16 cycles of a tone"
    );
    assert!(clash(hdx, Fault::KeysCollide).starts_with("the fault does not go with"));
    let two = KeyChoice {
        modulation: Some(KeyModulation::Psk),
        subcarrier_clocks: Some(vec![2, 4]),
        ..KeyChoice::default()
    };
    assert!(clash(two, Fault::None).starts_with("the subcarrier does not go with"));
}
