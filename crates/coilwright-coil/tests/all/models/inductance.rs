//! Inductance: published tables and worked values; formulas for one geometry against each other.

use super::{near, rows};
use coilwright_coil::inductance::*;
use coilwright_coil::{MAGNETIC_CONSTANT, ModelError};

const NAGAOKA: &str = include_str!("../../../../../testdata/published/coil/nagaoka.csv");
const SECTIONS: &str = include_str!("../../../../../testdata/published/coil/multilayer_spiral.csv");

/// Half a unit of the last printed digit.
const EIGHT_DECIMALS: f64 = 0.51e-8;
/// The values were computed with six decimals of a microhenry.
const SIX_DECIMALS: f64 = 0.51e-12;

#[test]
fn nagaokas_coefficient_is_that_of_the_table() {
    let mut old = 0;
    for row in rows(NAGAOKA) {
        let k = nagaoka_coefficient(row[0]).unwrap();
        // Computed with SciPy's elliptic integrals.
        assert!((k - row[1]).abs() < EIGHT_DECIMALS, "{row:?}: {k}");
        // Nagaoka 1909 p. 31, second hand: its own error reaches 1e-5, and the entries at 4 and 7.5 are misprinted in the transcription.
        let misprint = (row[0] - 4.0).abs() < 1e-9 || (row[0] - 7.5).abs() < 1e-9;
        if row[2].is_finite() && !misprint {
            assert!((k - row[2]).abs() < 1e-5, "{row:?}: {k}");
            old += 1;
        }
    }
    assert_eq!(old, 20);
}

#[test]
fn worked_solenoids_come_out() {
    // Current sheets, computed with SciPy from the same formula.
    for (diameter_m, length_m, turns, microhenry) in [
        (0.1, 0.1, 100.0, 679.445_880),
        (0.05, 0.02, 60.0, 209.570_342),
        (0.036, 0.010, 80.0, 317.784_733),
        (0.002, 0.010, 300.0, 32.691_422),
    ] {
        let coil = Solenoid {
            diameter_m,
            length_m,
            turns,
        };
        let found = current_sheet_henry(&coil).unwrap().value;
        assert!((found - 1e-6 * microhenry).abs() < SIX_DECIMALS, "{found}");
    }
}

#[test]
fn worked_loops_and_rectangles_come_out() {
    let wire = |radius_m: f64, spread| Conductor {
        shape: WireShape::Round {
            diameter_m: 2.0 * radius_m,
        },
        spread,
    };
    // μ₀ a [ln(8a/r) − 1.75] and − 2, computed.
    for (radius_m, wire_m, direct, surface) in [
        (0.25, 0.5e-3, 2.055_874, 1.977_334),
        (0.05, 0.5e-3, 0.310_051, 0.294_343),
        (0.1, 1e-3, 0.620_102, 0.588_686),
    ] {
        for (spread, microhenry) in [
            (CurrentSpread::Uniform, direct),
            (CurrentSpread::Surface, surface),
        ] {
            let turn = CircularLoop {
                radius_m,
                conductor: wire(wire_m, spread),
            };
            let found = circular_loop_henry(&turn).unwrap().value;
            assert!((found - 1e-6 * microhenry).abs() < SIX_DECIMALS, "{found}");
        }
    }
    // Grover's rectangle, computed; the square also by his special formula with 0.77401 (agrees to 3e-6).
    for (width_m, height_m, wire_m, direct, surface) in [
        (0.1, 0.1, 0.5e-3, 0.381_944, 0.361_944),
        (0.2, 0.1, 0.5e-3, 0.608_574, 0.578_574),
        (0.085, 0.054, 0.1e-3, 0.332_106, 0.318_206),
    ] {
        for (spread, microhenry) in [
            (CurrentSpread::Uniform, direct),
            (CurrentSpread::Surface, surface),
        ] {
            let turn = RectangularLoop {
                width_m,
                height_m,
                conductor: wire(wire_m, spread),
            };
            let found = rectangular_loop_henry(&turn).unwrap().value;
            assert!((found - 1e-6 * microhenry).abs() < SIX_DECIMALS, "{found}");
        }
    }
}

#[test]
fn rectangular_sections_and_spirals_equal_the_table() {
    // Maxwell's M averaged over the section by another quadrature (SciPy), nine digits; its thin limit agreed with Nagaoka to 3e-6.
    for line in SECTIONS.lines().skip(1) {
        let field: Vec<&str> = line.split(',').collect();
        let value = |i: usize| field[i].parse::<f64>().unwrap();
        let section = Section {
            mean_radius_m: value(1),
            // The spirals of the table were computed with a length of 0.1 µm.
            axial_length_m: value(2).max(1e-7),
            radial_depth_m: value(3),
        };
        let found = section_henry(&section, 1.0).unwrap().value;
        near(found, value(4), 5e-6);
        // Wheeler's value and its error against the section, where it holds.
        let wheeler = if field[0] == "multilayer" {
            wheeler_multilayer_1928_henry(&section, 1.0)
        } else {
            wheeler_spiral_1928_henry(value(1), value(3), 1.0)
        };
        match wheeler {
            Ok(modelled) => {
                near(modelled.value, value(5), 1e-6);
                near(modelled.value, found, modelled.relative_accuracy);
            }
            Err(error) => assert!(
                matches!(error, ModelError::OutsideValidity { .. }),
                "{error}"
            ),
        }
    }
}

#[test]
fn brookss_coil_has_its_known_constant() {
    // 1.6994e-6 a N² (Grover, from memory); 1.6993782e-6 computed.
    let brooks = Section {
        mean_radius_m: 1.5,
        axial_length_m: 1.0,
        radial_depth_m: 1.0,
    };
    near(
        section_henry(&brooks, 1.0).unwrap().value,
        1.5 * 1.699_378_2e-6,
        1e-6,
    );
}

#[test]
fn a_thin_section_is_a_current_sheet_and_a_square_one_a_square_wire() {
    for (diameter_m, length_m) in [(0.1, 0.1), (0.05, 0.002), (0.02, 0.2), (0.004, 0.1)] {
        let sheet = current_sheet_henry(&Solenoid {
            diameter_m,
            length_m,
            turns: 7.0,
        })
        .unwrap()
        .value;
        let section = Section {
            mean_radius_m: 0.5 * diameter_m,
            axial_length_m: length_m,
            radial_depth_m: 0.0,
        };
        near(section_henry(&section, 7.0).unwrap().value, sheet, 1e-6);
    }
    let wire = Conductor {
        shape: WireShape::Square { side_m: 1e-3 },
        spread: CurrentSpread::Uniform,
    };
    let turn = circular_loop_henry(&CircularLoop {
        radius_m: 0.05,
        conductor: wire,
    })
    .unwrap();
    let section = Section {
        mean_radius_m: 0.05,
        axial_length_m: 1e-3,
        radial_depth_m: 1e-3,
    };
    near(
        section_henry(&section, 1.0).unwrap().value,
        turn.value,
        turn.relative_accuracy,
    );
}

#[test]
fn rayleigh_and_nivens_term_is_within_the_thin_formulas_accuracy() {
    for radius_m in [3e-3, 10e-3, 0.1] {
        let turn = CircularLoop {
            radius_m,
            conductor: Conductor::round(1e-3),
        };
        let thin = circular_loop_henry(&turn).unwrap();
        let better = circular_loop_rayleigh_niven_henry(&turn).unwrap().value;
        near(thin.value, better, thin.relative_accuracy);
        assert!(better > thin.value);
    }
}

#[test]
fn wheelers_claims_hold_where_they_are_made() {
    for i in 0..400 {
        let length_m = 0.1 * 10_f64.powf(-2.0 + f64::from(i) / 100.0);
        let coil = Solenoid {
            diameter_m: 0.1,
            length_m,
            turns: 40.0,
        };
        let sheet = current_sheet_henry(&coil).unwrap().value;
        let continuous = wheeler_solenoid_1982_henry(&coil).unwrap();
        near(continuous.value, sheet, continuous.relative_accuracy);
        match wheeler_solenoid_1928_henry(&coil) {
            Ok(old) => near(old.value, sheet, old.relative_accuracy),
            Err(_) => assert!(length_m < 0.8 * 0.05 * 1.000_001),
        }
    }
}

#[test]
fn rosas_corrections_agree_with_the_sum_of_turns() {
    for (turns, pitch, wire) in [
        (10, 0.5e-3, 0.4e-3),
        (60, 0.3e-3, 0.2e-3),
        (30, 1e-3, 0.2e-3),
    ] {
        let winding = layers(turns, turns, pitch, wire);
        let sum = turn_sum_henry(&winding).unwrap();
        let coil = Solenoid {
            diameter_m: 2.0 * winding.layer_radius_m(0),
            length_m: pitch * turns as f64,
            turns: turns as f64,
        };
        let rosa = solenoid_of_wire_henry(&coil, &winding.conductor).unwrap();
        near(rosa.value, sum.value, rosa.relative_accuracy);
        let wheeler = wheeler_solenoid_of_wire_henry(&coil, &winding.conductor).unwrap();
        near(wheeler.value, sum.value, wheeler.relative_accuracy);
        near(wheeler.value, rosa.value, 2e-3);
    }
    for (turns, per_layer) in [(20, 10), (100, 20), (240, 30), (36, 6)] {
        let winding = layers(turns, per_layer, 0.3e-3, 0.25e-3);
        let sum = turn_sum_henry(&winding).unwrap();
        let rosa = multilayer_henry(&winding).unwrap();
        near(rosa.value, sum.value, rosa.relative_accuracy);
    }
}

#[test]
fn the_sum_over_turns_equals_a_double_loop() {
    let winding = layers(37, 10, 0.3e-3, 0.25e-3);
    let turns = winding.positions().unwrap();
    assert_eq!(turns.len(), 37);
    let mut sum = 0.0;
    for (i, one) in turns.iter().enumerate() {
        for (j, two) in turns.iter().enumerate() {
            let (a, b, d) = (one.radius_m, two.radius_m, one.height_m - two.height_m);
            sum += if i == j {
                MAGNETIC_CONSTANT * a * ((8.0 * a / 0.125e-3).ln() - 1.75)
            } else {
                // M by its definition, the double integral of Neumann.
                let n = 2000;
                let angle = |k: i32| std::f64::consts::TAU * (f64::from(k) + 0.5) / f64::from(n);
                let mean = (0..n)
                    .map(|k| {
                        angle(k).cos()
                            / (a * a + b * b + d * d - 2.0 * a * b * angle(k).cos()).sqrt()
                    })
                    .sum::<f64>()
                    / f64::from(n);
                0.5 * MAGNETIC_CONSTANT * std::f64::consts::TAU * a * b * mean
            };
        }
    }
    near(turn_sum_henry(&winding).unwrap().value, sum, 1e-9);
}

#[test]
fn flat_spirals_agree_with_the_section_of_no_length() {
    for (inner, outer) in [(0.02, 0.06), (0.05, 0.06), (0.005, 0.05)] {
        let spiral = FlatSpiral {
            outline: SpiralOutline::Circle,
            inner_diameter_m: inner,
            outer_diameter_m: outer,
            turns: 20.0,
        };
        let found = flat_spiral_henry(&spiral).unwrap();
        let section = Section {
            mean_radius_m: 0.25 * (inner + outer),
            axial_length_m: 0.0,
            radial_depth_m: 0.5 * (outer - inner),
        };
        near(
            found.value,
            section_henry(&section, 20.0).unwrap().value,
            found.relative_accuracy,
        );
    }
}

#[test]
fn a_rectangle_equals_neumanns_integral_between_its_axis_and_its_edge() {
    // M of two rectangles a mean distance apart is the self inductance (the definition of the mean distance), straight pieces only.
    let (w, h, side) = (0.08, 0.05, 1e-3);
    let wire = Conductor {
        shape: WireShape::Square { side_m: side },
        spread: CurrentSpread::Uniform,
    };
    let gap = wire.mean_distance_m().unwrap();
    let n = 4000;
    let pair = |length: f64, apart: f64| {
        // ∬ ds dt/√((s − t)² + g²) over two parallel pieces, one integral in closed form.
        let step = length / f64::from(n);
        (0..n)
            .map(|i| {
                let s = (f64::from(i) + 0.5) * step;
                ((s / apart).asinh() + ((length - s) / apart).asinh()) * step
            })
            .sum::<f64>()
    };
    let sum = 2.0 * (pair(w, gap) + pair(h, gap) - pair(w, h) - pair(h, w));
    let expected = MAGNETIC_CONSTANT / (4.0 * std::f64::consts::PI) * sum;
    let found = rectangular_loop_henry(&RectangularLoop {
        width_m: w,
        height_m: h,
        conductor: wire,
    })
    .unwrap();
    near(found.value, expected, found.relative_accuracy);
}

#[test]
fn impossible_and_invalid_geometry_is_refused() {
    let coil = |diameter_m, length_m, turns| Solenoid {
        diameter_m,
        length_m,
        turns,
    };
    for bad in [
        coil(0.0, 1.0, 1.0),
        coil(1.0, f64::NAN, 1.0),
        coil(1.0, 1.0, -2.0),
    ] {
        assert!(matches!(
            current_sheet_henry(&bad),
            Err(ModelError::NotPositive { .. })
        ));
    }
    assert!(matches!(
        current_sheet_henry(&coil(1.0, 1e-4, 1.0)),
        Err(ModelError::OutsideValidity { .. })
    ));
    assert!(matches!(
        solenoid_of_wire_henry(&coil(0.1, 0.01, 20.0), &Conductor::round(1e-3)),
        Err(ModelError::NoRoom { .. })
    ));
    let thick = CircularLoop {
        radius_m: 1e-3,
        conductor: Conductor::round(1e-3),
    };
    let error = circular_loop_henry(&thick).unwrap_err();
    assert_eq!(
        error.to_string(),
        "Kirchhoff, thin circular loop holds for half the wire's width over the loop's radius from 0 to 0.2, found 0.500000: \
         choose another formula or geometry"
    );
    assert!(matches!(
        turn_sum_henry(&layers(100_000, 100, 1e-3, 1e-4)),
        Err(ModelError::TooMany { .. })
    ));
    let point = Section {
        mean_radius_m: 1.0,
        axial_length_m: 0.0,
        radial_depth_m: 0.0,
    };
    assert!(section_henry(&point, 1.0).is_err());
    let deep = Section {
        mean_radius_m: 1.0,
        axial_length_m: 0.0,
        radial_depth_m: 2.5,
    };
    assert!(matches!(
        section_henry(&deep, 1.0),
        Err(ModelError::NoRoom { .. })
    ));
}

fn layers(turns: usize, turns_per_layer: usize, pitch_m: f64, wire_m: f64) -> LayerWinding {
    LayerWinding {
        former_radius_m: 15e-3,
        turns,
        turns_per_layer,
        axial_pitch_m: pitch_m,
        layer_pitch_m: pitch_m,
        conductor: Conductor::round(wire_m),
    }
}
