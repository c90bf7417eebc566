//! Mutual inductance and fields against published values and magpylib; metal against its limits.

use super::{near, rows};
use coilwright_coil::ModelError;
use coilwright_coil::coupling::*;
use coilwright_coil::inductance::Section;

const COAXIAL: &str = include_str!("../../../../../testdata/published/coil/mutual_coaxial.csv");
const GROVER: &str = include_str!("../../../../../testdata/published/coil/grover_f_kprime2.csv");
const CIRCLES: &str = include_str!("../../../../../testdata/published/coil/magpylib_circles.csv");
const COILS: &str = include_str!("../../../../../testdata/published/coil/magpylib_coils.csv");
const FIELD: &str = include_str!("../../../../../testdata/published/coil/magpylib_field.csv");

/// magpylib's magnetic constant differs by 1.3e-10, its flux was integrated to about 1e-9.
const MAGPYLIB: f64 = 1e-6;

#[test]
fn coaxial_circles_equal_the_published_table() {
    for row in rows(COAXIAL) {
        let circles = CoaxialCircles {
            first_radius_m: row[0],
            second_radius_m: row[1],
            distance_m: row[2],
        };
        let found = coaxial_circles_henry(&circles).unwrap().value;
        // Thirteen digits computed with SciPy's elliptic integrals; magpylib's flux.
        near(found, row[3], 1e-9);
        near(found, row[4], 1e-9);
    }
    // 248.7875 cm for 25, 20 and 10 cm (NBS S169, from memory).
    let example = CoaxialCircles {
        first_radius_m: 0.25,
        second_radius_m: 0.2,
        distance_m: 0.1,
    };
    near(
        coaxial_circles_henry(&example).unwrap().value,
        248.7875e-9,
        1e-6,
    );
}

#[test]
fn grovers_table_comes_out() {
    // M = f √(Aa) microhenry and centimetres; circles of one radius a have k'² = d²/(4a² + d²).
    for row in rows(GROVER) {
        let distance_m = 0.1 * 2.0 * (row[0] / (1.0 - row[0])).sqrt();
        let circles = CoaxialCircles {
            first_radius_m: 0.1,
            second_radius_m: 0.1,
            distance_m,
        };
        let found = coaxial_circles_henry(&circles).unwrap().value;
        assert!(
            (found * 1e6 / 10.0 - row[1]).abs() < 0.51e-8,
            "{row:?}: {found}"
        );
    }
}

#[test]
fn circles_anywhere_agree_with_magpylib() {
    let mut worst = 0.0_f64;
    for row in rows(CIRCLES) {
        let placement = Placement {
            axial_m: row[2],
            lateral_m: row[3],
            tilt_rad: row[4],
            tilt_direction_rad: row[5],
        };
        let found = circles_henry(row[0], row[1], &placement).unwrap().value;
        // Where the tilt makes the flux nearly zero, relative to that of a small circle on the axis at the same distance.
        let scale = coaxial_circles_henry(&CoaxialCircles {
            first_radius_m: row[0],
            second_radius_m: row[1],
            distance_m: row[2].hypot(row[3]),
        })
        .unwrap()
        .value;
        worst = worst.max((found - row[6]).abs() / row[6].abs().max(0.1 * scale));
    }
    assert!(worst < MAGPYLIB, "{worst:e}");
}

#[test]
fn coils_anywhere_agree_with_magpylib() {
    for row in rows(COILS) {
        let coil = |i: usize, turns: f64| SectionCoil {
            section: Section {
                mean_radius_m: row[i],
                axial_length_m: row[i + 1],
                radial_depth_m: row[i + 2],
            },
            turns,
        };
        let placement = Placement {
            axial_m: row[6],
            lateral_m: row[7],
            tilt_rad: row[8],
            tilt_direction_rad: row[9],
        };
        let found = coils_henry(&coil(0, 30.0), &coil(3, 200.0), &placement).unwrap();
        near(
            found.value,
            row[10] * 6000.0,
            MAGPYLIB + found.relative_accuracy,
        );
        assert!(found.relative_accuracy < 1e-5, "{found:?}");
    }
}

#[test]
fn fields_agree_with_magpylib() {
    for row in rows(FIELD) {
        let field = circle_field(row[0], row[1], row[2]);
        let size = row[3].hypot(row[4]);
        assert!(
            (field.radial_tesla_per_ampere - row[3]).abs() < MAGPYLIB * size,
            "{row:?}: {field:?}"
        );
        assert!(
            (field.axial_tesla_per_ampere - row[4]).abs() < MAGPYLIB * size,
            "{row:?}: {field:?}"
        );
    }
}

#[test]
fn mutual_inductance_does_not_care_which_coil_is_first() {
    let coil = |a, b, c| SectionCoil {
        section: Section {
            mean_radius_m: a,
            axial_length_m: b,
            radial_depth_m: c,
        },
        turns: 10.0,
    };
    let (one, two) = (coil(0.03, 0.01, 0.002), coil(0.01, 0.004, 0.003));
    // Parallel axes: moving the second by (x, z) or the first by (−x, −z) is the same.
    let there = Placement {
        axial_m: 0.03,
        lateral_m: 0.02,
        ..Placement::default()
    };
    let back = Placement {
        axial_m: -0.03,
        lateral_m: -0.02,
        ..Placement::default()
    };
    let (m, w) = (
        coils_henry(&one, &two, &there).unwrap(),
        coils_henry(&two, &one, &back).unwrap(),
    );
    near(m.value, w.value, 1e-6);
    let k = coupling_coefficient(&one, &two, &there).unwrap();
    assert!(k.coefficient.value > 0.0 && k.coefficient.value < 0.2);
    // Turned over, the sign changes.
    let over = Placement {
        tilt_rad: std::f64::consts::PI,
        ..there
    };
    near(
        coils_henry(&one, &two, &over).unwrap().value,
        -m.value,
        1e-6,
    );
}

#[test]
fn coils_that_touch_are_refused() {
    let coil = SectionCoil {
        section: Section {
            mean_radius_m: 0.03,
            axial_length_m: 0.01,
            radial_depth_m: 0.002,
        },
        turns: 10.0,
    };
    for placement in [
        Placement::coaxial(0.0),
        Placement::coaxial(0.004),
        Placement {
            lateral_m: 0.02,
            ..Placement::default()
        },
    ] {
        assert!(
            matches!(
                coils_henry(&coil, &coil, &placement),
                Err(ModelError::Touching { .. })
            ),
            "{placement:?}"
        );
    }
    let crossing = Placement {
        lateral_m: 0.01,
        tilt_rad: 0.0,
        ..Placement::default()
    };
    assert!(circles_henry(0.03, 0.03, &crossing).is_err());
    assert!(circles_henry(0.03, 0.0, &crossing).is_err());
    let nowhere = Placement {
        lateral_m: f64::NAN,
        ..Placement::default()
    };
    assert!(matches!(
        circles_henry(0.03, 0.01, &nowhere),
        Err(ModelError::NotFinite { .. })
    ));
}

#[test]
fn a_perfect_mirror_takes_twice_the_gaps_mutual_inductance() {
    let thin = SectionCoil {
        section: Section {
            mean_radius_m: 0.02,
            axial_length_m: 0.0,
            radial_depth_m: 0.0,
        },
        turns: 30.0,
    };
    for gap_m in [0.002, 0.01, 0.05] {
        let body = HalfSpace {
            gap_m,
            resistivity_ohm_m: 1e-18,
            relative_permeability: 1.0,
        };
        let found = half_space_change(&thin, &body, 125e3).unwrap();
        let circles = CoaxialCircles {
            first_radius_m: 0.02,
            second_radius_m: 0.02,
            distance_m: 2.0 * gap_m,
        };
        near(
            found.inductance_henry.value,
            -900.0 * coaxial_circles_henry(&circles).unwrap().value,
            2e-3,
        );
    }
}

#[test]
fn a_poor_conductor_costs_what_its_eddy_currents_do() {
    // Weak eddy currents: E = ωA in the undisturbed field of the circle, power ∫ E²/ρ over the half-space.
    let (a, gap, rho, f) = (0.02, 0.01, 1000.0, 125e3);
    let thin = SectionCoil {
        section: Section {
            mean_radius_m: a,
            axial_length_m: 0.0,
            radial_depth_m: 0.0,
        },
        turns: 1.0,
    };
    let body = HalfSpace {
        gap_m: gap,
        resistivity_ohm_m: rho,
        relative_permeability: 1.0,
    };
    let found = half_space_change(&thin, &body, f)
        .unwrap()
        .resistance_ohm
        .value;
    let omega = std::f64::consts::TAU * f;
    let (mut sum, n) = (0.0, 500);
    for i in 0..n {
        for j in 0..n {
            // Substitution x = t/(1 − t) takes the half-space to a square.
            let (t, u) = (
                (f64::from(i) + 0.5) / f64::from(n),
                (f64::from(j) + 0.5) / f64::from(n),
            );
            let (r, z) = (a * t / (1.0 - t), gap + a * u / (1.0 - u));
            let jacobian = a * a / ((1.0 - t) * (1.0 - u)).powi(2) / f64::from(n * n);
            let circles = CoaxialCircles {
                first_radius_m: a,
                second_radius_m: r,
                distance_m: z,
            };
            let potential =
                coaxial_circles_henry(&circles).unwrap().value / (std::f64::consts::TAU * r);
            sum += std::f64::consts::TAU * r * (omega * potential).powi(2) / rho * jacobian;
        }
    }
    near(found, sum, 0.01);
}

#[test]
fn metal_raises_the_resonance_and_lowers_q() {
    let coil = SectionCoil {
        section: Section {
            mean_radius_m: 0.0175,
            axial_length_m: 0.01,
            radial_depth_m: 0.002,
        },
        turns: 100.0,
    };
    let tuned = TunedCoil {
        inductance_henry: coil.inductance_henry().unwrap().value,
        resistance_ohm: 20.0,
        capacitance_farad: 3.3e-9,
    };
    let alone = tuned.alone().unwrap();
    let mut before = alone;
    for gap_m in [0.05, 0.02, 0.01, 0.005] {
        let brass = HalfSpace {
            gap_m,
            resistivity_ohm_m: 6.5e-8,
            relative_permeability: 1.0,
        };
        let near_metal = tuned.over_half_space(&coil, &brass).unwrap();
        assert!(
            near_metal.resonance_hz > before.resonance_hz
                && near_metal.resistance_ohm > before.resistance_ohm
        );
        before = near_metal;
    }
    assert!(before.q < alone.q);
    // A lossless closed loop takes k² of the inductance.
    let collar = ClosedLoop {
        inductance_henry: 50e-9,
        resistance_ohm: 1e-9,
        mutual_henry: 0.2 * (tuned.inductance_henry * 50e-9).sqrt(),
    };
    let beside = tuned.beside_loop(&collar).unwrap();
    near(beside.inductance_henry, 0.96 * tuned.inductance_henry, 1e-6);
    near(
        beside.resonance_hz,
        alone.resonance_hz / 0.96_f64.sqrt(),
        1e-6,
    );
    assert!(
        tuned
            .beside_loop(&ClosedLoop {
                mutual_henry: 1.0,
                ..collar
            })
            .is_err()
    );
}

#[test]
fn data_sheet_resonances_come_out() {
    // L and C of two read-only chips' data sheets, stated for 125 kHz; a reader's and a key's usual pairs (from memory).
    for (inductance_henry, capacitance_farad, hz) in [
        (20.8e-3, 78e-12, 124_951.0),
        (21.9e-3, 74e-12, 125_021.0),
        (1.62e-3, 1e-9, 125_044.0),
        (4.05e-3, 400e-12, 125_044.0),
    ] {
        let tuned = TunedCoil {
            inductance_henry,
            resistance_ohm: 100.0,
            capacitance_farad,
        };
        assert!((tuned.alone().unwrap().resonance_hz - hz).abs() < 0.6);
    }
}
