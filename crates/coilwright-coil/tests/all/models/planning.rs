//! Designs and pickup plans keep their promises; messages say what is wrong.

use super::near;
use coilwright_coil::coupling::{Placement, SectionCoil};
use coilwright_coil::design::*;
use coilwright_coil::inductance::{Conductor, LayerWinding, Section, turn_sum_henry};
use coilwright_coil::loss::{COPPER, Wire, awg_diameter_m};
use coilwright_coil::pickup::*;
use coilwright_coil::{ModelError, NearestMiss};

fn shelf() -> Vec<ShelfWire> {
    [26, 28, 30, 32]
        .map(|gauge| {
            let diameter_m = awg_diameter_m(gauge).unwrap();
            ShelfWire {
                wire: Wire::Solid { diameter_m },
                insulated_diameter_m: diameter_m + 30e-6,
            }
        })
        .to_vec()
}

fn aim() -> Aim {
    let key = SectionCoil {
        section: Section {
            mean_radius_m: 2e-3,
            axial_length_m: 8e-3,
            radial_depth_m: 0.5e-3,
        },
        turns: 300.0,
    };
    Aim {
        frequency_hz: 125e3,
        inductance_henry: 700e-6,
        inductance_tolerance: 0.03,
        q: (10.0, f64::INFINITY),
        partner: Some((
            Partner {
                coil: key,
                placement: Placement::coaxial(15e-3),
            },
            1e-4,
        )),
        metal: COPPER,
        temperature_c: 25.0,
    }
}

const ROOM: Room = Room {
    former_radius_m: 16e-3,
    most_radius_m: 20e-3,
    most_length_m: 10e-3,
};

#[test]
fn every_winding_of_a_design_meets_its_aim() {
    let windings = find_windings(&ROOM, &shelf(), &aim()).unwrap();
    assert!(windings.len() >= 5, "{}", windings.len());
    assert!(windings.iter().any(|w| !w.on_front));
    for w in &windings {
        let bare = shelf()[w.wire];
        assert!((w.inductance_henry.value / 700e-6 - 1.0).abs() <= 0.03 && w.q >= 10.0);
        assert!(w.outer_radius_m <= 20e-3 + 1e-9 && w.length_m <= 10e-3 + 1e-9);
        assert!(w.coupling.unwrap() >= 1e-4);
        // The sum over turns, which the search does not use, gives the same inductance.
        let winding = LayerWinding {
            former_radius_m: 16e-3,
            turns: w.turns,
            turns_per_layer: w.turns_per_layer,
            axial_pitch_m: bare.insulated_diameter_m,
            layer_pitch_m: bare.insulated_diameter_m,
            conductor: Conductor::round(bare.wire.outer_diameter_m()),
        };
        near(
            turn_sum_henry(&winding).unwrap().value,
            w.inductance_henry.value,
            w.inductance_henry.relative_accuracy,
        );
        near(
            w.tuning_farad * w.inductance_henry.value,
            (std::f64::consts::TAU * 125e3).powi(-2),
            1e-12,
        );
    }
}

#[test]
fn the_front_holds_what_nothing_beats() {
    let windings = find_windings(&ROOM, &shelf(), &aim()).unwrap();
    let score = |w: &Candidate| [w.coupling.unwrap(), w.q, -w.metal_m3];
    for w in &windings {
        let beaten = windings.iter().any(|o| {
            let pairs: Vec<(f64, f64)> = score(o).into_iter().zip(score(w)).collect();
            pairs.iter().all(|(a, b)| a >= b) && pairs.iter().any(|(a, b)| a > b)
        });
        assert_eq!(w.on_front, !beaten);
    }
    let front = windings.iter().take_while(|w| w.on_front).count();
    assert!(windings[front..].iter().all(|w| !w.on_front));
}

#[test]
fn limits_that_cross_are_named() {
    let crossed = Aim {
        q: (30.0, 20.0),
        ..aim()
    };
    let error = find_windings(&ROOM, &shelf(), &crossed).unwrap_err();
    assert!(matches!(error, ModelError::LimitsCrossed { .. }), "{error}");
}

#[test]
fn an_aim_out_of_reach_names_what_came_nearest() {
    let error = find_windings(
        &ROOM,
        &shelf(),
        &Aim {
            q: (500.0, 600.0),
            ..aim()
        },
    )
    .unwrap_err();
    assert!(
        matches!(error, ModelError::NoWinding { tried, nearest } if tried > 10 && nearest.q > 10.0 && nearest.q < 500.0),
        "{error}"
    );
    let narrow = Room {
        most_radius_m: 16.05e-3,
        ..ROOM
    };
    let error = find_windings(&narrow, &shelf(), &aim()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "none of 0 windings meets the aim; nearest: no winding fits the room"
    );
    assert!(matches!(
        find_windings(
            &Room {
                most_radius_m: 10e-3,
                ..ROOM
            },
            &shelf(),
            &aim()
        ),
        Err(ModelError::NoRoom { .. })
    ));
    assert!(matches!(
        find_windings(&ROOM, &[], &aim()),
        Err(ModelError::TooMany { .. })
    ));
}

const MATERIALS: Materials = Materials {
    former_radius_m: 10e-3,
    former_length_m: 5e-3,
    wire_diameter_m: 0.2e-3,
    insulated_diameter_m: 0.22e-3,
    wire_length_m: 20.0,
};
const INPUT: RecorderInput = RecorderInput {
    resistance_ohm: 1e6,
    capacitance_farad: 20e-12,
    cable_farad: 100e-12,
    full_scale_peak_volt: 10.0,
};

#[test]
fn a_pickup_plan_takes_the_most_turns_that_keep_its_rules() {
    let plan = plan_pickup(&MATERIALS, &INPUT, &RingNearby::TYPICAL).unwrap();
    let keeps = |p: &PickupPlan| {
        p.listener.resonance_hz >= LEAST_RESONANCE_RATIO * 125e3
            && p.expected_peak_volt <= MOST_OF_FULL_SCALE * 10.0
            && p.wire_length_m <= 20.0
    };
    assert!(keeps(&plan), "{plan:?}");
    let more = pickup_of_turns(&MATERIALS, &INPUT, &RingNearby::TYPICAL, plan.turns + 1);
    assert!(more.is_err() || !keeps(&more.unwrap()));
    let warned = |p: &PickupPlan| {
        p.cautions.iter().any(|c| {
            matches!(
                c,
                Caution::ResonanceNearCarrier { .. }
                    | Caution::InputOverdriven { .. }
                    | Caution::Weak { .. }
            )
        })
    };
    assert!(!warned(&plan));
    for always in [
        Caution::DrivenRing,
        Caution::RestraintSystem,
        Caution::Implants,
    ] {
        assert!(plan.cautions.contains(&always));
    }
    // Short wire limits it as well.
    let short = plan_pickup(
        &Materials {
            wire_length_m: 0.5,
            ..MATERIALS
        },
        &INPUT,
        &RingNearby::TYPICAL,
    )
    .unwrap();
    assert_eq!(short.turns, 7);
}

#[test]
fn expected_volts_follow_the_axial_field() {
    // A pickup coil of 4 mm in the ring's axial field: μ₀NIa²/(2(a² + d²)^1.5) · ω N A, the field even to a few per cent.
    let small = Materials {
        former_radius_m: 2e-3,
        ..MATERIALS
    };
    let plan = pickup_of_turns(&small, &INPUT, &RingNearby::TYPICAL, 20).unwrap();
    let field = coilwright_coil::antenna::axial_field_tesla(17.5e-3, 10.0, 20e-3).unwrap();
    near(
        plan.expected_peak_volt,
        plan.listener.volt_per_tesla * field,
        0.03,
    );
}

#[test]
fn cautions_name_the_number_and_its_limit() {
    let long_cable = RecorderInput {
        cable_farad: 20e-9,
        full_scale_peak_volt: 0.1,
        ..INPUT
    };
    let plan = pickup_of_turns(&MATERIALS, &long_cable, &RingNearby::TYPICAL, 100).unwrap();
    let texts: Vec<String> = plan.cautions.iter().map(ToString::to_string).collect();
    assert!(
        texts[0].starts_with("the coil rings at ")
            && texts[0].contains("at least 500 kHz are wanted"),
        "{texts:?}"
    );
    assert!(texts[1].contains("the input takes 0.10 V"), "{texts:?}");
    let far = RingNearby {
        distance_m: 1.0,
        ..RingNearby::TYPICAL
    };
    let plan = pickup_of_turns(&MATERIALS, &INPUT, &far, 3).unwrap();
    assert!(
        plan.cautions[0]
            .to_string()
            .ends_with("more turns, a larger former, or nearer to the ring")
    );
    assert!(
        plan_pickup(
            &Materials {
                wire_length_m: 0.01,
                ..MATERIALS
            },
            &INPUT,
            &far
        )
        .is_err()
    );
    assert!(pickup_of_turns(&MATERIALS, &INPUT, &far, 100_000).is_err());
}

#[test]
fn messages_say_what_was_found_and_needed() {
    let messages = [
        (
            ModelError::NotPositive {
                quantity: "radius of the loop",
                found: -1.0,
                unit: "m",
            },
            "radius of the loop is -1 m, a positive finite number is needed",
        ),
        (
            ModelError::NotFinite {
                quantity: "tilt",
                found: f64::NAN,
                unit: "rad",
            },
            "tilt is NaN rad, a finite number is needed",
        ),
        (
            ModelError::OutsideValidity {
                formula: "Wheeler",
                quantity: "length over radius",
                found: 0.5,
                low: 0.8,
                high: 4.0,
            },
            "Wheeler holds for length over radius from 0.8 to 4, found 0.500000: choose another formula or geometry",
        ),
        (
            ModelError::OutsideValidity {
                formula: "Wheeler",
                quantity: "length over radius",
                found: 0.5,
                low: 0.8,
                high: f64::MAX,
            },
            "Wheeler holds for length over radius from 0.8 up, found 0.500000: choose another formula or geometry",
        ),
        (
            ModelError::LimitsCrossed {
                quantity: "Q",
                low: 30.0,
                high: 20.0,
            },
            "largest Q 20 is below least Q 30: raise the one or lower the other",
        ),
        (
            ModelError::SizeDoubtful {
                quantity: "diameter of wire or strand",
                found_m: 0.2,
            },
            "diameter of wire or strand is 0.2 m: sizes are in metres, so that 0.2 mm is 0.2e-3",
        ),
        (
            ModelError::NoRoom {
                first: "the pitch",
                second: "the wire",
                found_m: 1e-3,
                needed_m: 2e-3,
            },
            "the pitch does not leave room for the wire: 0.001000 m are there, 0.002000 m are needed",
        ),
        (
            ModelError::Touching { distance_m: 1e-6 },
            "the conductors come as near as 1.000e-6 m: thin wires must not touch or cross",
        ),
        (
            ModelError::NotSettled {
                quantity: "mutual inductance",
                reached: 1e-3,
                needed: 1e-6,
            },
            "the integral for mutual inductance settled only to 1.0e-3 of its value, 1.0e-6 is needed: move the parts further from each other",
        ),
        (
            ModelError::TooMany {
                quantity: "turns",
                found: 0,
                most: 5000,
            },
            "turns is 0, from 1 to 5000 are taken",
        ),
        (
            ModelError::NoWinding {
                tried: 7,
                nearest: NearestMiss {
                    turns: 90,
                    inductance_henry: 7e-4,
                    q: 31.25,
                },
            },
            "none of 7 windings meets the aim; nearest: 90 turns with 7.0000e-4 H and Q 31.2",
        ),
    ];
    for (error, text) in messages {
        assert_eq!(error.to_string(), text);
    }
}
