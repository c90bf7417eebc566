//! Steady state, decay and poles against formulas worked by hand.

use std::f64::consts::{PI, TAU};

use coilwright_simulate::circuit::{Circuit, Configuration, DriverSwitch, State, StateSpace};
use coilwright_simulate::integrate::{Drive, GatePhase, Schedule, Tone, Waveform, simulate};
use num_complex::Complex;

use crate::circuits;

/// Rounding through some hundred matrix operations.
const ROUNDING: f64 = 1e-10;
/// The parasitic elements are a millionth of the others and cannot be left out.
const PARASITIC: f64 = 2e-6;

/// Voltage of the pickup for 1 V of driver, by impedances. Holds for a circuit without keys and loops whose pickup
/// does not see the lead.
fn pickup_by_impedances(circuit: &Circuit, frequency_hz: f64) -> Complex<f64> {
    let (driver, ring, pickup) = (&circuit.driver, &circuit.ring, &circuit.pickup);
    let s = Complex::new(0.0, TAU * frequency_hz);
    let parallel = |a: Complex<f64>, b: Complex<f64>| a * b / (a + b);
    let capacitor = |farad: f64| (s * farad).inv();

    let input = parallel(
        Complex::from(pickup.load_ohm),
        capacitor(pickup.capacitance_farad),
    );
    let secondary = s * pickup.inductance_henry + pickup.resistance_ohm + input;
    let mutual = pickup.coupling_ring * (pickup.inductance_henry * ring.inductance_henry).sqrt();
    let coil = s * ring.inductance_henry + ring.resistance_ohm - (s * mutual).powi(2) / secondary;

    let stray = parallel(
        capacitor(ring.stray_farad),
        Complex::from(ring.stray_loss_ohm),
    );
    let across = parallel(coil, stray);
    let joint = parallel(
        Complex::from(ring.joint.closed_ohm),
        capacitor(ring.joint.gap_farad),
    );
    let branch = s * ring.lead_henry + capacitor(ring.capacitance_farad) + joint + across;
    let cable = parallel(capacitor(driver.cable_farad), branch);
    let total = s * driver.lead_henry + driver.resistance_on_ohm + cable;

    let coil_current = cable / total * across / branch / coil;
    // L di/dt + M di_coil/dt = −v − R i, and the current flows into the input.
    let pickup_current = -s * mutual * coil_current / secondary;
    pickup_current * input
}

#[test]
fn steady_state_is_the_ratio_of_impedances() {
    let mut circuit = circuits::plain();
    circuit.pickup.coupling_lead = 0.0;
    for frequency_hz in [60e3, 125e3, 375e3, 1.02e6] {
        let expected = pickup_by_impedances(&circuit, frequency_hz);
        let found = circuit
            .pickup_response(&Configuration::resting(&circuit), frequency_hz)
            .unwrap();
        assert!(
            (found - expected).norm() < ROUNDING * expected.norm(),
            "{found} {expected}"
        );
    }
}

#[test]
fn a_sine_drive_settles_on_the_phasor() {
    let mut circuit = circuits::plain();
    circuit.pickup.coupling_lead = 0.0;
    let frequency_hz = 123_456.7;
    let drive = Drive {
        waveform: Waveform::Sine {
            amplitude_volt: 3.0,
        },
        frequency_hz,
        gate_phase: GatePhase::FreeRunning,
        field_on_s: vec![(0.000_123_4, 1.0)],
    };
    let schedule = Schedule {
        drive,
        switches: Vec::new(),
        tones: Vec::new(),
    };
    let trace = simulate(&circuit, &schedule, 1e6, 3_000, State::PickupVoltage).unwrap();
    let phasor = pickup_by_impedances(&circuit, frequency_hz) * 3.0;
    // Q 15 at 125 kHz: after 2 ms the transient is down by 50 time constants.
    for (index, sample) in trace.samples.iter().enumerate().skip(2_500) {
        let turn = Complex::from_polar(1.0, TAU * frequency_hz * index as f64 / 1e6 - PI / 2.0);
        let expected = (phasor * turn).re;
        assert!(
            (sample - expected).abs() < 1e-9 * phasor.norm(),
            "{index}: {sample} {expected}"
        );
    }
}

#[test]
fn a_square_drive_settles_on_its_fourier_series() {
    let mut circuit = circuits::plain();
    circuit.pickup.coupling_lead = 0.0;
    let schedule = circuits::square(vec![(0.0, 1.0)]);
    let trace = simulate(&circuit, &schedule, 1e6, 3_000, State::PickupVoltage).unwrap();
    for index in [2_601, 2_750, 2_999_usize] {
        let expected: f64 = (1..20_000)
            .step_by(2)
            .map(|harmonic| {
                let harmonic = f64::from(harmonic);
                let phasor =
                    pickup_by_impedances(&circuit, 125e3 * harmonic) * (20.0 / PI / harmonic);
                (phasor
                    * Complex::from_polar(1.0, TAU * 0.125 * harmonic * index as f64 - PI / 2.0))
                .re
            })
            .sum();
        // The series falls as 1/n³ and more: what is left out is below 1e-8.
        assert!(
            (trace.samples[index] - expected).abs() < 1e-7,
            "{index}: {} {expected}",
            trace.samples[index]
        );
    }
}

/// The ring with parasitic elements of a millionth of the others: a series R, L, C.
fn bare() -> Circuit {
    let mut circuit = circuits::plain();
    circuit.driver.lead_henry = 1e-10;
    circuit.driver.cable_farad = 1e-16;
    circuit.ring.lead_henry = 1e-10;
    circuit.ring.stray_farad = 1e-16;
    circuit.ring.stray_loss_ohm = 1e12;
    circuit.ring.joint.closed_ohm = 1e-4;
    circuit.pickup.coupling_ring = 1e-4;
    circuit.pickup.coupling_lead = 0.0;
    circuit
}

#[test]
fn switch_on_and_off_follow_the_series_circuit() {
    let circuit = bare();
    let mut schedule = circuits::square(vec![(100.3e-6, 400.7e-6)]);
    // So slow that the drive is a constant while it is on.
    schedule.drive.frequency_hz = 1.0;
    let trace = simulate(&circuit, &schedule, 1e6, 800, State::CoilCurrent).unwrap();
    let henry = circuit.ring.inductance_henry;
    let alpha = (circuit.ring.resistance_ohm + circuit.driver.resistance_on_ohm) / (2.0 * henry);
    let omega = (1.0 / (henry * circuit.ring.capacitance_farad) - alpha * alpha).sqrt();
    let answer = |time_s: f64| {
        let step =
            |time_s: f64| 5.0 / (omega * henry) * (-alpha * time_s).exp() * (omega * time_s).sin();
        let on = if time_s > 100.3e-6 {
            step(time_s - 100.3e-6)
        } else {
            0.0
        };
        let off = if time_s > 400.7e-6 {
            step(time_s - 400.7e-6)
        } else {
            0.0
        };
        on - off
    };
    let scale = 5.0 / (omega * henry);
    for (index, sample) in trace.samples.iter().enumerate() {
        let expected = answer(index as f64 * 1e-6);
        // The phase error of the parasitic elements grows over 40 turns.
        assert!(
            (sample - expected).abs() < 100.0 * PARASITIC * scale,
            "{index}: {sample} {expected}"
        );
    }
}

#[test]
fn the_ring_pole_is_that_of_the_series_circuit() {
    let circuit = bare();
    let pole = circuit
        .ring_pole(&Configuration::resting(&circuit))
        .unwrap()
        .unwrap();
    let (henry, farad) = (
        circuit.ring.inductance_henry,
        circuit.ring.capacitance_farad,
    );
    let resonance_hz = 1.0 / (TAU * (henry * farad).sqrt());
    let q = (henry / farad).sqrt() / 36.0;
    assert!(
        (pole.resonance_hz / resonance_hz - 1.0).abs() < PARASITIC,
        "{pole:?} {resonance_hz}"
    );
    assert!((pole.q / q - 1.0).abs() < 10.0 * PARASITIC, "{pole:?} {q}");
}

#[test]
fn another_driver_resistance_while_off_shows_in_the_pole() {
    let mut circuit = bare();
    circuit.driver.resistance_off_ohm = 58.0;
    let resting = Configuration::resting(&circuit);
    let on = circuit.ring_pole(&resting).unwrap().unwrap();
    let off = circuit
        .ring_pole(&resting.with_driver(DriverSwitch::Off))
        .unwrap()
        .unwrap();
    // 14 + 22 ohm against 14 + 58 ohm.
    assert!((on.q / off.q - 2.0).abs() < 1e-4, "{on:?} {off:?}");
}

#[test]
fn two_lossless_coupled_circuits_split_by_their_coupling() {
    let mut circuit = bare();
    circuit.driver.resistance_on_ohm = 1e-3;
    circuit.ring.resistance_ohm = 1e-3;
    let mut key = circuits::key();
    key.coupling_ring = 0.1;
    key.coupling_pickup = 0.0;
    key.resistance_ohm = 1e-3;
    key.load_open_ohm = 1e12;
    key.capacitance_farad =
        circuit.ring.inductance_henry * circuit.ring.capacitance_farad / key.inductance_henry;
    circuit.keys.push(key);
    let resonance_hz =
        1.0 / (TAU * (circuit.ring.inductance_henry * circuit.ring.capacitance_farad).sqrt());
    let poles = StateSpace::new(&circuit, &Configuration::resting(&circuit))
        .unwrap()
        .poles()
        .unwrap();
    for expected in [resonance_hz / 1.1_f64.sqrt(), resonance_hz / 0.9_f64.sqrt()] {
        let nearest = poles
            .iter()
            .map(|pole| (pole.resonance_hz / expected - 1.0).abs())
            .fold(f64::INFINITY, f64::min);
        assert!(nearest < PARASITIC, "{expected} {poles:?}");
    }
}

#[test]
fn lossy_coupled_poles_are_roots_of_the_characteristic_polynomial() {
    let mut circuit = bare();
    let mut key = circuits::key();
    key.coupling_pickup = 0.0;
    circuit.keys.push(key.clone());
    let poles = StateSpace::new(&circuit, &Configuration::resting(&circuit))
        .unwrap()
        .poles()
        .unwrap();
    let near: Vec<_> = poles
        .iter()
        .filter(|pole| (100e3..160e3).contains(&pole.resonance_hz))
        .collect();
    assert_eq!(near.len(), 2, "{poles:?}");
    for pole in near {
        let magnitude = TAU * pole.resonance_hz;
        let s = Complex::new(-0.5 / pole.q, (1.0 - 0.25 / (pole.q * pole.q)).sqrt()) * magnitude;
        let ring =
            s * circuit.ring.inductance_henry + 36.0 + (s * circuit.ring.capacitance_farad).inv();
        let load = (s * key.capacitance_farad + key.load_open_ohm.recip()).inv();
        let secondary = s * key.inductance_henry + key.resistance_ohm + load;
        let mutual_squared =
            key.coupling_ring.powi(2) * key.inductance_henry * circuit.ring.inductance_henry;
        let left = ring * secondary;
        let right = s * s * mutual_squared;
        assert!(
            (left - right).norm() < 1e-3 * right.norm(),
            "{pole:?} {left} {right}"
        );
    }
}

#[test]
fn one_percent_of_shorted_turns_takes_q_from_fourteen_to_about_two() {
    // Reflected by hand: (ωM)²/(R + jωL) of a loop of 70 nH and 0.12 ohm at k = 0.9 adds 168 ohm to the ring's 36.
    let mut circuit = bare();
    circuit
        .loops
        .push(coilwright_simulate::circuit::ClosedLoop {
            inductance_henry: 0.7e-3 * 1e-4,
            resistance_ohm: 0.12,
            coupling_ring: 0.9,
            coupling_pickup: 0.0,
            coupling_keys: 0.0,
        });
    let pole = circuit
        .ring_pole(&Configuration::resting(&circuit))
        .unwrap()
        .unwrap();
    assert!((2.0..3.5).contains(&pole.q), "{pole:?}");
}

#[test]
fn diodes_take_the_ring_down_half_wave_by_half_wave() {
    let mut circuit = bare();
    let clamp_volt = 6.0;
    circuit.driver.clamp_volt = Some(clamp_volt);
    circuit.driver.resistance_off_ohm = 1e9;
    let mut schedule = circuits::square(vec![(0.0, 400e-6)]);
    // A burst of 50 cycles, then enough time for the diodes.
    schedule.drive.frequency_hz = 125e3;
    let volts = simulate(&circuit, &schedule, 64e6, 38_400, State::SeriesVoltage)
        .unwrap()
        .samples;
    let currents = simulate(&circuit, &schedule, 64e6, 38_400, State::CoilCurrent)
        .unwrap()
        .samples;

    // Between two zeros of the current the capacitor's voltage V becomes U − (V − U) exp(−α π/ω), U being the
    // diodes' voltage with the sign of V.
    let henry = circuit.ring.inductance_henry;
    let alpha = (circuit.ring.resistance_ohm + circuit.driver.resistance_on_ohm) / (2.0 * henry);
    let omega = (1.0 / (henry * circuit.ring.capacitance_farad) - alpha * alpha).sqrt();
    let decay = (-alpha * std::f64::consts::PI / omega).exp();
    let off = 400 * 64;
    let first_zero = (off + 1..currents.len())
        .find(|&n| currents[n] * currents[off] < 0.0)
        .unwrap();
    let mut expected = volts[first_zero];
    let mut half_waves = 0;
    while expected.abs() > clamp_volt {
        let diode_volt = clamp_volt.copysign(expected);
        expected = diode_volt - (expected - diode_volt) * decay;
        half_waves += 1;
    }
    assert!(half_waves >= 3, "{half_waves}");
    let end_s = first_zero as f64 / 64e6 + f64::from(half_waves) * std::f64::consts::PI / omega;
    let left = volts[(end_s * 64e6) as usize + 64];
    // The first zero of the current is known to a sample, an eightieth of a radian: 8e-5 of some 90 V.
    assert!(
        (left - expected).abs() < 8e-3,
        "{left} {expected} after {half_waves} half waves"
    );
    let later = volts[volts.len() - 1];
    assert!(
        (later - left).abs() < 1e-3,
        "what is left stays: {left} {later}"
    );
}

#[test]
fn a_key_that_sends_by_itself_settles_on_the_ratio_of_impedances() {
    let mut circuit = circuits::with_key();
    circuit.pickup.coupling_ring = 0.0;
    circuit.pickup.coupling_lead = 1e-12;
    circuit.keys[0].coupling_ring = 0.0;
    let (key, pickup) = (circuit.keys[0].clone(), circuit.pickup.clone());
    let frequency_hz = 124_200.0;
    let s = Complex::new(0.0, TAU * frequency_hz);
    let input = (Complex::from(pickup.load_ohm.recip()) + s * pickup.capacitance_farad).inv();
    let secondary = s * pickup.inductance_henry + pickup.resistance_ohm + input;
    let mutual = key.coupling_pickup * (key.inductance_henry * pickup.inductance_henry).sqrt();
    let coil = s * key.inductance_henry + key.resistance_ohm - (s * mutual).powi(2) / secondary;
    let stage = key.load_open_ohm.recip();
    let volt = stage / (stage + s * key.capacitance_farad + coil.inv());
    let expected = (s * mutual * volt / coil / secondary * input).norm();
    let resting = Configuration::resting(&circuit);
    let found = circuit.pickup_response_to_key(&resting, 0, frequency_hz);
    assert!((found.unwrap().norm() / expected - 1.0).abs() < 1e-9);

    let mut schedule = circuits::square(Vec::new());
    schedule.tones.push(Tone {
        key: 0,
        start_s: 1e-4,
        end_s: 1.0,
        frequency_hz,
        amplitude_volt: 3.0,
        decay_per_s: 0.0,
    });
    let trace = simulate(&circuit, &schedule, 1e6, 5_000, State::PickupVoltage).unwrap();
    let sum: Complex<f64> = trace
        .samples
        .iter()
        .enumerate()
        .skip(2_500)
        .map(|(n, &sample)| sample * Complex::cis(-TAU * frequency_hz * n as f64 / 1e6))
        .sum();
    // 2 500 samples hold 310.5 cycles: the image of half a cycle at the end stays below 1e-3.
    let amplitude = sum.norm() / 1_250.0;
    assert!(
        (amplitude / (3.0 * expected) - 1.0).abs() < 1e-3,
        "{amplitude} {expected}"
    );
}
