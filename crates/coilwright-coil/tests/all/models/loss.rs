//! Losses and self-capacitance: published tables, definitions, limits.

use super::{near, rows};
use coilwright_coil::capacitance::{LayerOrder, layered_farad, medhurst_farad};
use coilwright_coil::inductance::{Conductor, LayerWinding, Solenoid};
use coilwright_coil::loss::*;
use coilwright_coil::{MAGNETIC_CONSTANT, ModelError};
use std::f64::consts::{PI, TAU};

const GAUGES: &str = include_str!("../../../../../testdata/published/coil/awg_copper.csv");
const SKIN: &str = include_str!("../../../../../testdata/published/coil/skin_ratio_bessel.csv");
const MEDHURST: &str = include_str!("../../../../../testdata/published/coil/medhurst_H.csv");
const RHO: f64 = 1.7241e-8;

#[test]
fn the_wire_table_comes_out() {
    // Diameter by ASTM B258's formula; gauges 20 to 30 agree with a published table (copper wire table, second hand) to its digits.
    for row in rows(GAUGES) {
        let d = awg_diameter_m(row[0] as i32).unwrap();
        assert!((d * 1e3 - row[2]).abs() < 0.51e-5, "{row:?}: {d}");
        let wire = Wire::Solid { diameter_m: d };
        assert!((1e6 * wire.metal_area_m2().unwrap() - row[3]).abs() < 0.51e-7);
        let ohm = wire.direct_ohm_per_metre(RHO).unwrap();
        assert!((ohm - row[4]).abs() < 0.51e-6, "{row:?}: {ohm}");
        assert!((ohm * 304.8 - row[5]).abs() < 0.51e-4 * row[5].max(1.0));
        for (frequency_hz, ratio) in [(125e3, row[6]), (134.2e3, row[7])] {
            let found = wire.straight_ratio(RHO, frequency_hz).unwrap();
            assert!((found - ratio).abs() < 0.51e-6, "{row:?}: {found}");
        }
        assert_eq!(nearest_awg(d).unwrap(), row[0] as i32);
    }
    for (gauge, mil, ohm_per_1000_ft) in [
        (20, 31.961, 10.15),
        (24, 20.100, 25.67),
        (26, 15.940, 40.81),
        (28, 12.641, 64.90),
        (30, 10.025, 103.2),
    ] {
        let d = awg_diameter_m(gauge).unwrap();
        near(d / 25.4e-6, mil, 5e-5);
        let ohm = Wire::Solid { diameter_m: d }
            .direct_ohm_per_metre(RHO)
            .unwrap()
            * 304.8;
        near(ohm, ohm_per_1000_ft, 5e-4);
    }
}

#[test]
fn skin_effect_follows_bessel_and_circular_74() {
    let depth = skin_depth_m(RHO, 125e3).unwrap();
    for row in rows(SKIN).into_iter().skip(1) {
        let skin = skin_effect(2.0_f64.sqrt() * depth * row[0], RHO, 125e3).unwrap();
        assert!(
            (skin.resistance_ratio - row[2]).abs() < 0.51e-6,
            "{row:?}: {skin:?}"
        );
        assert!(
            (skin.internal_inductance_ratio - row[3]).abs() < 0.51e-6,
            "{row:?}: {skin:?}"
        );
        // NBS Circular 74, from memory; its entries at 2.5 and 50 are remembered 2e-4 and 4e-4 off.
        let slip = if (row[0] - 2.5).abs() < 0.1 || row[0] > 49.0 && row[0] < 51.0 {
            5e-4
        } else {
            0.0
        };
        assert!(
            (skin.resistance_ratio - row[4]).abs() < 3.1e-4 + slip,
            "{row:?}: {skin:?}"
        );
    }
    // Neher and McGrath, table III, second hand: 10.05 % at x = 2.14.
    let skin = skin_effect(2.0_f64.sqrt() * depth * 2.14, RHO, 125e3).unwrap();
    assert!((skin.resistance_ratio - 1.1005).abs() < 5e-5);
    // Skin depths, computed.
    for (frequency_hz, millimetre) in [
        (100e3, 0.208_978),
        (125e3, 0.186_916),
        (134.2e3, 0.180_395),
        (150e3, 0.170_630),
    ] {
        assert!((1e3 * skin_depth_m(RHO, frequency_hz).unwrap() - millimetre).abs() < 0.51e-6);
    }
}

#[test]
fn a_field_across_a_wire_costs_what_eddy_currents_do() {
    // Thin wire: π d⁴ ω² B²/(64 ρ) for root-mean-square B, from induced voltages alone.
    let (d, f) = (20e-6, 125e3);
    let b = MAGNETIC_CONSTANT;
    let thin = PI * d * d * d * d * (TAU * f * b).powi(2) / (64.0 * RHO);
    near(
        transverse_loss_watt_per_metre(d, RHO, f).unwrap(),
        thin,
        1e-4,
    );
    // Thick wire: the field at the surface is 2 H sin φ, and each square metre of skin loses ρ/δ times its square.
    let d = 100.0 * skin_depth_m(RHO, f).unwrap();
    let thick = PI * d * 2.0 * RHO / skin_depth_m(RHO, f).unwrap();
    near(
        transverse_loss_watt_per_metre(d, RHO, f).unwrap(),
        thick,
        0.02,
    );
}

#[test]
fn proximity_in_a_long_solenoid_follows_its_uniform_field() {
    // Deep inside a long coil of many layers the field falls linearly from nI inside to zero outside: mean square n²I²/3, less the part of a layer.
    let (layers, per_layer, pitch, d) = (6, 800, 0.25e-3, 0.2e-3);
    let winding = LayerWinding {
        former_radius_m: 3e-3,
        turns: layers * per_layer,
        turns_per_layer: per_layer,
        axial_pitch_m: pitch,
        layer_pitch_m: pitch,
        conductor: Conductor::round(d),
    };
    let wire = Wire::Solid { diameter_m: d };
    let found = winding_resistance(&winding, &wire, RHO, 125e3).unwrap();
    let loss = transverse_loss_watt_per_metre(d, RHO, 125e3).unwrap();
    let expected: f64 = (0..layers)
        .map(|l| {
            let field = ((layers - l) as f64 - 0.5) / pitch;
            loss * field * field * TAU * winding.layer_radius_m(l) * per_layer as f64
        })
        .sum();
    // The field is weaker near the ends: about a diameter of 200 mm.
    near(found.proximity_ohm, expected, 0.05);
    near(
        found.direct_ohm,
        winding.wire_length_m().unwrap() * RHO / (0.25 * PI * d * d),
        1e-12,
    );
    near(
        found.alternating_ohm.value,
        found.direct_ohm + found.skin_ohm + found.proximity_ohm,
        1e-12,
    );
}

#[test]
fn dowells_ratio_and_ferreiras_meet_in_a_core_like_coil() {
    // The layered coil above in Dowell's one-dimensional terms, at the same fill; a different idealisation of round wire: 15 %.
    let depth = skin_depth_m(RHO, 125e3).unwrap();
    let dowell = dowell_ratio(
        &WindowLayers {
            layers: 6,
            wire_diameter_m: 0.2e-3,
            pitch_m: 0.21e-3,
        },
        depth,
    )
    .unwrap();
    let winding = LayerWinding {
        former_radius_m: 10e-3,
        turns: 6 * 600,
        turns_per_layer: 600,
        axial_pitch_m: 0.21e-3,
        layer_pitch_m: 0.21e-3,
        conductor: Conductor::round(0.2e-3),
    };
    let air =
        winding_resistance(&winding, &Wire::Solid { diameter_m: 0.2e-3 }, RHO, 125e3).unwrap();
    near(
        air.alternating_ohm.value / air.direct_ohm,
        dowell.value,
        0.2,
    );
    // Millimetres in place of metres.
    let slip = winding_resistance(&winding, &Wire::Solid { diameter_m: 0.2 }, RHO, 125e3);
    assert!(
        matches!(slip, Err(ModelError::SizeDoubtful { .. })),
        "{slip:?}"
    );
    // One thin layer: no loss but the metal's.
    let thin = dowell_ratio(
        &WindowLayers {
            layers: 1,
            wire_diameter_m: 20e-6,
            pitch_m: 22e-6,
        },
        depth,
    )
    .unwrap();
    near(thin.value, 1.0, 1e-3);
}

#[test]
fn litz_wire_loses_less_and_one_strand_is_solid_wire() {
    let litz = Wire::Litz {
        strands: 50,
        strand_diameter_m: 0.05e-3,
        bundle_diameter_m: 0.5e-3,
    };
    let area = litz.metal_area_m2().unwrap();
    let solid = Wire::Solid {
        diameter_m: (4.0 * area / PI).sqrt(),
    };
    // Fifty thin strands in the bundle's own field of mean square I²/(2π²b²), by induced voltages: 1.757e-4 Ω/m on 0.1756 Ω/m.
    let d4 = 0.05e-3_f64.powi(4);
    let across = 50.0 * PI * d4 * (TAU * 125e3 * MAGNETIC_CONSTANT).powi(2) / (64.0 * RHO);
    let added = across / (2.0 * (PI * 0.5e-3).powi(2)) / litz.direct_ohm_per_metre(RHO).unwrap();
    near(litz.straight_ratio(RHO, 125e3).unwrap() - 1.0, added, 0.05);
    let ratio =
        litz.field_loss_ohm_m(RHO, 125e3).unwrap() / solid.field_loss_ohm_m(RHO, 125e3).unwrap();
    // Thin strands lose as d⁴: n d_s⁴ = d⁴/n; the solid wire is not quite thin.
    near(ratio, 1.0 / 50.0, 0.15);
    let one = Wire::Litz {
        strands: 1,
        strand_diameter_m: 0.3e-3,
        bundle_diameter_m: 0.3e-3,
    };
    let same = Wire::Solid { diameter_m: 0.3e-3 };
    near(
        one.straight_ratio(RHO, 125e3).unwrap(),
        same.straight_ratio(RHO, 125e3).unwrap(),
        1e-12,
    );
    let tight = Wire::Litz {
        strands: 50,
        strand_diameter_m: 0.05e-3,
        bundle_diameter_m: 0.3e-3,
    };
    assert!(matches!(
        tight.metal_area_m2(),
        Err(ModelError::NoRoom { .. })
    ));
}

#[test]
fn medhursts_table_comes_out() {
    let mut count = 0;
    for row in rows(MEDHURST) {
        let coil = Solenoid {
            diameter_m: 0.02,
            length_m: 0.02 * row[0],
            turns: 50.0,
        };
        let found = medhurst_farad(&coil).unwrap();
        near(found.value, row[1] * 2.0 * 1e-12, 1e-9);
        // Medhurst's own formula 0.1126 x + 0.08 + 0.27/√x, stated to 5 %, is up to 7.7 % off these rows (at 3.5 diameters).
        near(row[3], row[1], 0.08);
        count += 1;
    }
    assert_eq!(count, 33);
    let flat = Solenoid {
        diameter_m: 0.1,
        length_m: 0.005,
        turns: 5.0,
    };
    assert!(matches!(
        medhurst_farad(&flat),
        Err(ModelError::OutsideValidity { .. })
    ));
}

#[test]
fn layers_behave_like_plates() {
    // Bare wire almost touching in a medium of permittivity 1: straight lines give ε₀ ∫ dx/(q − 2√(r² − x²)).
    let winding = LayerWinding {
        former_radius_m: 15e-3,
        turns: 200,
        turns_per_layer: 50,
        axial_pitch_m: 0.25e-3,
        layer_pitch_m: 0.25e-3,
        conductor: Conductor::round(0.2e-3),
    };
    let there = layered_farad(&winding, 0.22e-3, 3.5, LayerOrder::ThereAndBack)
        .unwrap()
        .value;
    let same = layered_farad(&winding, 0.22e-3, 3.5, LayerOrder::SameSide)
        .unwrap()
        .value;
    near(there / same, 4.0 / 3.0, 1e-12);
    // Between the plates of the same area spaced by the pitch less the wire, and by the whole pitch.
    let area = TAU * 16e-3 * 50.0 * 0.2e-3;
    let plates = |gap: f64| 8.854e-12 * area / gap * 4.0 / 3.0 * 3.0 / 16.0;
    assert!(
        there > plates(0.25e-3) && there < plates(0.05e-3) * 3.5,
        "{there:e}"
    );
    let one = LayerWinding {
        turns: 50,
        ..winding
    };
    assert!(layered_farad(&one, 0.22e-3, 3.5, LayerOrder::ThereAndBack).is_err());
    assert!(layered_farad(&winding, 0.30e-3, 3.5, LayerOrder::ThereAndBack).is_err());
}

#[test]
fn copper_warms_as_stated() {
    near(COPPER.resistivity_ohm_m(20.0).unwrap(), RHO, 1e-12);
    near(COPPER.resistivity_ohm_m(120.0).unwrap(), RHO * 1.393, 1e-12);
    assert!(COPPER.resistivity_ohm_m(900.0).is_err());
}

#[test]
fn one_turn_is_a_straight_wire() {
    // 10 gauge at 125 kHz: 3.725008 (the table).
    let wire = Wire::Solid {
        diameter_m: 2.58819e-3,
    };
    let one = thin_loop_resistance(TAU, 1.0, &wire, RHO, 125e3).unwrap();
    near(one.alternating_ohm.value / one.direct_ohm, 3.725_008, 2e-6);
    // What the curvature adds, by the sum over the winding with the hoop field at two skin depths, stays within the accuracy.
    let wire = Wire::Solid { diameter_m: 0.4e-3 };
    let round = LayerWinding {
        former_radius_m: 5e-3 - 0.2e-3,
        turns: 1,
        turns_per_layer: 1,
        axial_pitch_m: 0.4e-3,
        layer_pitch_m: 0.4e-3,
        conductor: Conductor::round(0.4e-3),
    };
    let curved = winding_resistance(&round, &wire, RHO, 125e3).unwrap();
    let straight = thin_loop_resistance(TAU * 5e-3, 5e-3, &wire, RHO, 125e3).unwrap();
    let off = curved.alternating_ohm.value / straight.alternating_ohm.value - 1.0;
    assert!(
        off > 0.0 && off < straight.alternating_ohm.relative_accuracy,
        "{off}"
    );
    assert!(thin_loop_resistance(1.0, 5e-4, &wire, RHO, 125e3).is_err());
}

#[test]
fn a_rectangular_winding_by_its_neighbours() {
    let wire = Wire::Solid { diameter_m: 0.3e-3 };
    let loss = wire.field_loss_ohm_m(RHO, 125e3).unwrap();
    // Two long turns above each other, p apart: each stands in the field I/(2πp) of the other, along its whole length.
    let pair = RectangularWinding {
        width_m: 1.0,
        height_m: 1.0,
        turns: 2,
        turns_per_layer: 2,
        pitch_m: 1e-3,
    };
    let found = rectangular_resistance(&pair, &wire, RHO, 125e3).unwrap();
    near(found.proximity_ohm, 8.0 * loss / (TAU * 1e-3).powi(2), 0.01);
    // One turn as a pair of leads, h apart: I/(2πh) from the other side. At each of the four corners stands the field 1/(4πx) of the side
    // round it, from half a wire on, both ways, and crosses with the former.
    let leads = RectangularWinding {
        width_m: 20.0,
        height_m: 10e-3,
        turns: 1,
        turns_per_layer: 1,
        pitch_m: 0.3e-3,
    };
    let found = rectangular_resistance(&leads, &wire, RHO, 125e3).unwrap();
    let sides = 40.0 / (TAU * 10e-3).powi(2);
    let corners = 8.0 / (16.0 * PI * PI * 0.15e-3);
    let crossed = 8.0 * 2.0 / (4.0 * PI * TAU * 10e-3) * (5e-3_f64 / 0.15e-3).ln();
    near(found.proximity_ohm / loss, sides + corners + crossed, 0.02);
    // A square and a circle of the same perimeter and bundle differ only in what is far away.
    let square = RectangularWinding {
        width_m: 0.2,
        height_m: 0.2,
        turns: 30,
        turns_per_layer: 10,
        pitch_m: 0.33e-3,
    };
    let round = LayerWinding {
        former_radius_m: 0.4 / PI - 1.5 * 0.33e-3,
        turns: 30,
        turns_per_layer: 10,
        axial_pitch_m: 0.33e-3,
        layer_pitch_m: 0.33e-3,
        conductor: Conductor::round(0.3e-3),
    };
    let square = rectangular_resistance(&square, &wire, RHO, 125e3).unwrap();
    let round = winding_resistance(&round, &wire, RHO, 125e3).unwrap();
    near(square.direct_ohm, round.direct_ohm, 1e-9);
    near(square.proximity_ohm, round.proximity_ohm, 0.02);
}
