//! The antenna circuit and tolerances: worked examples of application notes, exact circuit values.

use super::near;
use coilwright_coil::ModelError;
use coilwright_coil::antenna::*;
use coilwright_coil::tolerance::{Part, Spread, spread_of};
use std::f64::consts::{FRAC_PI_3, PI, TAU};

const RESONANCE: &str =
    include_str!("../../../../../testdata/published/resonance/series_ring_125khz.csv");

#[test]
fn the_application_notes_fields_come_out() {
    // N 100, 0.1 A, a = r = 0.1 m: 22.21441 µT (computed; magpylib the same).
    near(
        axial_field_tesla(0.1, 10.0, 0.1).unwrap(),
        22.214_41e-6,
        3e-7,
    );
    // AN678, second hand: the best radius is √2 times the distance, where (a² + r²)^1.5/a² = 2.5980762 r.
    let best = best_radius_m(0.3).unwrap();
    near(best / 0.3, 2.0_f64.sqrt(), 1e-12);
    near(
        (best * best + 0.09).powf(1.5) / (best * best),
        2.598_076_2 * 0.3,
        1e-7,
    );
    let needed = |a: f64| ampere_turns_for(a, 0.3, 1e-6).unwrap();
    assert!(needed(best) < needed(0.99 * best) && needed(best) < needed(1.01 * best));
    // AN710, from memory: 0.0449 µT at 0.38 m from a ring of radius 0.1 m take 0.43 ampere turns (0.4335 computed).
    near(
        ampere_turns_for(0.1, 0.38, 0.0449e-6).unwrap(),
        0.4335,
        2e-4,
    );
    // Far away the field falls with the cube of the distance (AN678 p. 1).
    let ratio =
        axial_field_tesla(0.02, 1.0, 2.0).unwrap() / axial_field_tesla(0.02, 1.0, 4.0).unwrap();
    near(ratio, 8.0, 1e-3);
}

#[test]
fn the_application_notes_key_voltages_come_out() {
    // V = 2πf N S Q B cos α (from memory): 300 turns of 10 cm², Q 20, 1 µT at 125 kHz: 4.712389 V.
    let key = KeyCoil {
        turns: 300.0,
        area_m2: 10e-4,
        q: 20.0,
    };
    near(key_volt(&key, 1e-6, 125e3, 0.0).unwrap(), 4.712_389, 1e-7);
    near(
        key_volt(&key, 1e-6, 125e3, FRAC_PI_3).unwrap(),
        0.5 * 4.712_389,
        1e-7,
    );
    // AN710 at 13.56 MHz, from memory: 4 V peak to peak, 4 turns, Q 40; S = 46.2 cm² was solved back from 0.0449 µT.
    let tag = KeyCoil {
        turns: 4.0,
        area_m2: 46.2e-4,
        q: 40.0,
    };
    near(
        field_for_volt(&tag, 4.0 / 2.0_f64.sqrt(), 13.56e6, 0.0).unwrap(),
        0.0449e-6,
        1e-3,
    );
    // The same for 125 kHz: 100 turns, Q 15, 38.71 cm² take 0.6202 µT (computed).
    let tag = KeyCoil {
        turns: 100.0,
        area_m2: 38.71e-4,
        q: 15.0,
    };
    near(
        field_for_volt(&tag, 4.0 / 2.0_f64.sqrt(), 125e3, 0.0).unwrap(),
        0.6202e-6,
        1e-4,
    );
    assert!(field_for_volt(&tag, 1.0, 125e3, 0.5 * PI).is_err());
}

#[test]
fn range_and_field_are_each_others_inverse() {
    for distance in [0.01, 0.03, 0.2] {
        let field = axial_field_tesla(0.0175, 12.0, distance).unwrap();
        near(
            energising_range_m(0.0175, 12.0, field).unwrap(),
            distance,
            1e-9,
        );
    }
    let middle = axial_field_tesla(0.0175, 12.0, 0.0).unwrap();
    assert!(energising_range_m(0.0175, 12.0, 1.01 * middle).unwrap() < 1e-12);
    // A small coil on the axis sees the axial field.
    let volt = coaxial_volt(0.0175, 12.0, 1e-4, 50.0, 0.03, 125e3).unwrap();
    let even = TAU * 125e3 * 50.0 * PI * 1e-8 * axial_field_tesla(0.0175, 12.0, 0.03).unwrap();
    near(volt, even, 1e-4);
}

#[test]
fn bandwidth_time_constant_and_edges_equal_the_table() {
    // Textbook formulas, computed in Python: Q, τ, …, bandwidth, lower and upper edge.
    for line in RESONANCE.lines().skip(1) {
        let row: Vec<f64> = line.split(',').map(|v| v.parse().unwrap()).collect();
        let fit = bit_rate_fit(125e3, row[0], 1953.125).unwrap();
        near(fit.time_constant_s * 1e6, row[1], 1e-8);
        near(fit.bandwidth_hz, row[6], 1e-8);
        // A driven series ring at the two edges carries 1/√2 of its current at resonance.
        let inductance_henry = 1e-3;
        let ring = DrivenRing {
            inductance_henry,
            coil_ohm: TAU * 125e3 * inductance_henry / row[0],
            capacitance_farad: tuning_farad(inductance_henry, 125e3).unwrap(),
            tank: Tank::Series { driver_ohm: 0.0 },
            drive_peak_volt: 1.0,
            carrier_hz: 125e3,
        };
        let top = ring.state().unwrap();
        near(top.loaded_q, row[0], 1e-9);
        near(top.capacitor_peak_volt, row[0], 1e-9);
        for edge in [row[7], row[8]] {
            let at_edge = DrivenRing {
                carrier_hz: edge,
                ..ring
            }
            .state()
            .unwrap();
            near(
                at_edge.coil_peak_ampere / top.coil_peak_ampere,
                0.5_f64.sqrt(),
                5e-7,
            );
        }
    }
}

#[test]
fn a_parallel_tank_has_the_q_of_both_resistances() {
    let ring = DrivenRing {
        inductance_henry: 700e-6,
        coil_ohm: 10.0,
        capacitance_farad: tuning_farad(700e-6, 125e3).unwrap(),
        tank: Tank::Parallel { driver_ohm: 20e3 },
        drive_peak_volt: 5.0,
        carrier_hz: 125e3,
    };
    let state = ring.state().unwrap();
    let reactance = TAU * 125e3 * 700e-6;
    near(
        state.loaded_q,
        1.0 / (10.0 / reactance + reactance / 20e3),
        1e-12,
    );
    // At resonance the tank is about Q² R and divides the drive with the source.
    let tank = reactance * reactance / 10.0;
    near(state.capacitor_peak_volt, 5.0 * tank / (tank + 20e3), 1e-3);
    near(
        state.coil_peak_ampere,
        state.capacitor_peak_volt / reactance,
        1e-3,
    );
    assert!(
        DrivenRing {
            tank: Tank::Parallel { driver_ohm: 0.0 },
            ..ring
        }
        .state()
        .is_err()
    );
}

#[test]
fn sidebands_fall_as_the_rings_response_says() {
    let fit = bit_rate_fit(125e3, 50.0, 125e3 / 64.0).unwrap();
    // Q 50: half width 1250 Hz; the sideband at 1953 Hz: −10 log10(1 + (1953/1250)²) = −5.37 dB, near enough symmetric.
    assert!(
        (fit.full_rate_sideband_db + 10.0 * (1.0 + (1953.125_f64 / 1250.0).powi(2)).log10()).abs()
            < 0.02
    );
    near(
        fit.time_constants_per_half_bit,
        256e-6 / 127.323_954e-6,
        1e-6,
    );
    near(
        bit_rate_fit(125e3, fit.most_q, 125e3 / 64.0)
            .unwrap()
            .time_constants_per_half_bit,
        2.0,
        1e-12,
    );
    assert!(bit_rate_fit(125e3, 20.0, 100e3).is_err());
}

#[test]
fn a_listener_resonates_where_its_circuit_does() {
    let coil = Listener {
        turns_area_m2: 0.02,
        inductance_henry: 1e-3,
        resistance_ohm: 20.0,
        capacitance_farad: 100e-12,
        input_ohm: 1e6,
    };
    let state = coil.at(503.292e3).unwrap();
    near(
        state.resonance_hz,
        503.292e3 * (1.0_f64 + 2e-5).sqrt(),
        1e-5,
    );
    // At resonance the gain is the Q, less what the phase of Q costs.
    near(state.gain, state.q, 1e-3);
    // Far below, it is the induced voltage.
    let low = coil.at(1e3).unwrap();
    near(low.volt_per_tesla, TAU * 1e3 * 0.02, 1e-4);
    let bare = Listener {
        capacitance_farad: 0.0,
        ..coil
    }
    .at(125e3)
    .unwrap();
    assert!(bare.resonance_hz.is_infinite() && bare.q == 0.0);
}

#[expect(
    clippy::unnecessary_wraps,
    reason = "a function of parts may fail, this one cannot"
)]
fn resonance(parts: &[f64]) -> Result<f64, ModelError> {
    Ok(1.0 / (TAU * (parts[0] * parts[1]).sqrt()))
}

#[test]
fn tolerances_spread_a_resonance_as_first_order_says() {
    let parts = [
        Part::even("inductance", 1.62e-3, 0.02),
        Part::even("capacitance", 1e-9, 0.05),
    ];
    let result = spread_of(&parts, 20_000, 7, resonance).unwrap();
    near(result.nominal, 125_044.0, 1e-5);
    // σ/f = ½ √(0.02² + 0.05²)/√3.
    let expected = 0.5 * (0.02_f64.powi(2) + 0.05_f64.powi(2)).sqrt() / 3.0_f64.sqrt();
    near(result.first_order_std_dev / result.nominal, expected, 1e-3);
    // Twenty thousand draws know a standard deviation to 0.5 %.
    near(result.std_dev, result.first_order_std_dev, 0.02);
    near(
        result.worst_case.0,
        result.nominal / (1.02_f64 * 1.05).sqrt(),
        1e-12,
    );
    near(
        result.worst_case.1,
        result.nominal / (0.98_f64 * 0.95).sqrt(),
        1e-12,
    );
    assert_eq!(result.parts[0].name, "capacitance");
    near(result.parts[0].variance_share, 25.0 / 29.0, 1e-3);
    near(result.parts[0].sensitivity, -0.5, 1e-3);
    assert!(result.worst_case.0 <= result.trials[0] && result.central_95.0 > result.trials[0]);
    assert_eq!(result, spread_of(&parts, 20_000, 7, resonance).unwrap());
    assert_ne!(
        result.mean.to_bits(),
        spread_of(&parts, 20_000, 8, resonance)
            .unwrap()
            .mean
            .to_bits()
    );
}

#[test]
fn each_spread_has_the_standard_deviation_it_claims() {
    for spread in [Spread::Even, Spread::ThreeSigma, Spread::Triangle] {
        let part = Part {
            name: "R".to_owned(),
            nominal: 100.0,
            relative_tolerance: 0.1,
            spread,
        };
        let result = spread_of(&[part], 40_000, 3, |p| Ok(p[0])).unwrap();
        near(result.std_dev, result.first_order_std_dev, 0.015);
        assert!(result.trials[0] >= 90.0 && *result.trials.last().unwrap() <= 110.0);
    }
    let many: Vec<Part> = (0..20)
        .map(|i| Part::even(&i.to_string(), 1.0, 0.1))
        .collect();
    let sum = spread_of(&many, 100, 1, |p| Ok(p.iter().sum())).unwrap();
    assert!(!sum.every_corner);
    near(sum.worst_case.1, 22.0, 1e-12);
}

#[test]
fn senseless_tolerances_are_refused() {
    let part = Part::even("L", 1e-3, 1.5);
    assert!(matches!(
        spread_of(&[part], 1000, 1, |p| Ok(p[0])),
        Err(ModelError::OutsideValidity { .. })
    ));
    assert!(matches!(
        spread_of(&[], 1000, 1, |_| Ok(0.0)),
        Err(ModelError::TooMany { .. })
    ));
    let part = [Part::even("L", 1e-3, 0.1)];
    assert!(spread_of(&part, 10, 1, |p| Ok(p[0])).is_err());
    assert!(matches!(
        spread_of(&part, 1000, 1, |_| Ok(f64::NAN)),
        Err(ModelError::NotFinite { .. })
    ));
}
