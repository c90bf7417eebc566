//! Conditions of coils: hand-made numbers, and what must not be claimed.

use coilwright_coil::condition::{
    CoilEvidence, CoilNumbers, CoilVerdict, Condition, Finding, Limits, Number, Range, Ringing,
    Side, Standard, judge_coil,
};
use coilwright_coil::{Estimate, FitError, OhmmeterEvidence, OhmmeterReading, Reading};

/// Sound numbers of a boat's antenna ring: 1.62 mH, 1 nF, 40 Ω.
fn sound() -> CoilNumbers {
    CoilNumbers {
        resonance_hz: Some(Estimate::new(125_000.0, 15.0)),
        q: Some(Estimate::new(31.8, 0.2)),
        direct_ohm: Some(Estimate::new(21.0, 0.05)),
        ..CoilNumbers::default()
    }
}

fn judged(evidence: &CoilEvidence) -> CoilVerdict {
    judge_coil(evidence, &Standard::Reference(sound()), Some(100.0)).unwrap()
}

fn ringing(resonance_hz: f64, q: f64) -> CoilEvidence {
    CoilEvidence {
        numbers: CoilNumbers {
            resonance_hz: Some(Estimate::new(resonance_hz, 15.0)),
            q: Some(Estimate::new(q, 0.01 * q)),
            ..CoilNumbers::default()
        },
        ringing: Ringing::Seen,
        ..CoilEvidence::default()
    }
}

#[expect(clippy::unnecessary_wraps, reason = "a reading is optional evidence")]
fn read(reading: Reading) -> Option<OhmmeterReading> {
    Some(OhmmeterReading {
        reading,
        leads_ohm: Estimate::new(0.2, 0.02),
        temperature_celsius: Estimate::new(20.0, 3.0),
    })
}

fn shown(ohm: f64) -> Option<OhmmeterReading> {
    read(Reading::Shown {
        resistance_ohm: Estimate::new(ohm, 0.03),
    })
}

#[test]
fn probabilities_sum_to_one_and_the_likeliest_stands_first() {
    for evidence in [
        CoilEvidence::default(),
        ringing(125e3, 31.0),
        ringing(60e3, 90.0),
    ] {
        let verdict = judged(&evidence);
        let sum: f64 = verdict.likely.iter().map(|l| l.probability).sum();
        assert!((sum - 1.0).abs() < 1e-9, "{sum}");
        assert!(
            verdict
                .likely
                .windows(2)
                .all(|pair| pair[0].probability >= pair[1].probability)
        );
    }
}

#[test]
fn nothing_measured_tells_nothing() {
    let verdict = judged(&CoilEvidence::default());
    assert_eq!(verdict.condition, Condition::CannotTell);
    assert!(verdict.findings.is_empty());
}

#[test]
fn the_same_coil_is_sound_and_a_resistance_alone_is_not_enough() {
    assert_eq!(
        judged(&ringing(125_150.0, 31.2)).condition,
        Condition::Sound
    );
    let resistance = CoilEvidence {
        ohmmeter: shown(21.2),
        ..CoilEvidence::default()
    };
    assert_eq!(judged(&resistance).condition, Condition::CannotTell);
}

#[test]
fn a_lost_capacitance_keeps_q_over_resonance() {
    // C falls by 8 %: f0 rises by 1/√0.92, and Q/f0 stays.
    let up = 0.92_f64.sqrt().recip();
    let verdict = judged(&ringing(125e3 * up, 31.8 * up));
    assert_eq!(verdict.condition, Condition::CapacitorDrifted);
    let size = verdict.likely[0].size.unwrap();
    assert!((size.value + 0.08).abs() < 0.02, "{size:?}");
}

#[test]
fn a_lossy_loop_is_metal() {
    // k² = 0.06 with a loop of Q 10: L falls by 5.94 %, added resistance is 0.594 % of the reactance, 0.189 of R at Q 31.8.
    let l: f64 = 1.0 - 0.0594;
    let q = 31.8 * l.sqrt() / 1.189;
    assert_eq!(
        judged(&ringing(125e3 / l.sqrt(), q)).condition,
        Condition::MetalNear
    );
}

#[test]
fn open_and_shorted_look_alike_until_an_ohmmeter_parts_them() {
    let silent = CoilEvidence {
        ringing: Ringing::NoneSeen,
        ..CoilEvidence::default()
    };
    let verdict = judged(&silent);
    assert_eq!(verdict.condition, Condition::CannotTell);
    let open = CoilEvidence {
        ohmmeter: read(Reading::OverRange { range_ohm: 20e6 }),
        ..silent
    };
    assert_eq!(judged(&open).condition, Condition::Open);
    let shorted = CoilEvidence {
        ohmmeter: shown(0.21),
        ..silent
    };
    assert_eq!(judged(&shorted).condition, Condition::Shorted);
}

#[test]
fn an_open_circuit_by_impedance_is_said_as_such() {
    let evidence = CoilEvidence {
        open_circuit: true,
        ..CoilEvidence::default()
    };
    let verdict = judged(&evidence);
    assert_eq!(verdict.condition, Condition::Open);
    let kinds = |verdict: &CoilVerdict, wanted: fn(&Finding) -> bool| {
        verdict.findings.iter().filter(|f| wanted(f)).count()
    };
    let is_open = |f: &Finding| matches!(f, Finding::OpenCircuit { .. }) && f.is_deviation();
    assert_eq!(kinds(&verdict, is_open), 1);
    assert_eq!(
        kinds(&verdict, |f| matches!(f, Finding::Ohmmeter { .. })),
        0
    );
    // A winding on the ohmmeter speaks against it: the meter's leads were open.
    let winding = CoilEvidence {
        ohmmeter: shown(0.2 + 21.0),
        ..evidence
    };
    let verdict = judged(&winding);
    assert_ne!(verdict.condition, Condition::Open);
    assert_eq!(verdict.findings.len(), 3, "{:?}", verdict.findings);
}

#[test]
fn an_open_reading_across_a_ring_that_rings_is_not_an_open_coil() {
    let evidence = CoilEvidence {
        ohmmeter: read(Reading::OverRange { range_ohm: 20e6 }),
        ..ringing(125e3, 31.8)
    };
    let verdict = judged(&evidence);
    assert_ne!(verdict.condition, Condition::Open);
    assert!(
        verdict
            .findings
            .iter()
            .any(|f| matches!(f, Finding::Ohmmeter { .. }) && f.is_deviation())
    );
}

#[test]
fn missing_direct_resistance_makes_shorted_turns_of_what_might_be_metal() {
    // s = 0.08, 1/2Λ = 0.25: L_s = 0.0104, L_r = 0.864, M = 0.0628 of L; with a loop of Q 8.3 the ring goes to 1.43 f₀ and Q 9.4.
    let evidence = CoilEvidence {
        ohmmeter: shown(0.2 + 0.92 * 21.0),
        ..ringing(178_700.0, 9.4)
    };
    let verdict = judged(&evidence);
    assert_eq!(verdict.condition, Condition::TurnsShorted);
    let first = &verdict.likely[0];
    let size = first.size.unwrap();
    assert!(
        (size.value - 0.08).abs() < 2.5 * size.std_dev && size.std_dev < 0.03,
        "{size:?}"
    );
    assert!(first.size_text.as_ref().unwrap().contains("of 100"));
}

#[test]
fn a_poor_joint_is_none_of_the_conditions() {
    // Resistance doubled, nothing else: no single condition that is modelled.
    let evidence = CoilEvidence {
        ohmmeter: shown(61.0),
        ..ringing(125e3, 15.9)
    };
    assert_eq!(judged(&evidence).condition, Condition::CannotTell);
}

#[test]
fn plain_limits_stand_in_the_findings_as_given() {
    let limits = Standard::Limits(Limits {
        resonance_hz: Some(Range {
            low: 123e3,
            high: 127e3,
        }),
        q: Some(Range {
            low: 20.0,
            high: f64::INFINITY,
        }),
        ..Limits::default()
    });
    let verdict = judge_coil(&ringing(131e3, 30.0), &limits, None).unwrap();
    let (low, high, side) = verdict
        .findings
        .iter()
        .find_map(|f| match f {
            Finding::Number {
                number: Number::Resonance,
                low,
                high,
                side,
                ..
            } => Some((*low, *high, *side)),
            _ => None,
        })
        .unwrap();
    assert_eq!((low, high, side), (123e3, 127e3, Side::Above));
    let inside = judge_coil(&ringing(125e3, 30.0), &limits, None).unwrap();
    assert!(inside.findings.iter().all(|f| !f.is_deviation()));
}

fn limited(low: f64, high: f64) -> Standard {
    Standard::Limits(Limits {
        resonance_hz: Some(Range {
            low: 120e3,
            high: 130e3,
        }),
        q: Some(Range { low, high }),
        ..Limits::default()
    })
}

#[test]
fn a_coil_outside_its_limits_is_never_sound_and_one_inside_is() {
    let infinite = f64::INFINITY;
    for (q, low, high, sound) in [
        (12.0, 15.0, infinite, false),
        (14.9, 15.0, infinite, false),
        (14.0, 15.0, 40.0, false),
        (50.0, 15.0, 40.0, false),
        (50.0, 0.0, 40.0, false),
        (16.0, 15.0, infinite, true),
        (32.0, 15.0, infinite, true),
        (300.0, 15.0, infinite, true),
        (32.0, 15.0, 40.0, true),
        (32.0, 0.0, 40.0, true),
        (15.0, 0.0, 40.0, true),
    ] {
        let verdict = judge_coil(&ringing(125e3, q), &limited(low, high), None).unwrap();
        let found = verdict.condition == Condition::Sound;
        assert_eq!(found, sound, "{q} in {low} to {high}: {verdict:?}");
    }
    // A Q that may have been higher leaves both open.
    let detuned = judge_coil(&ringing(133e3, 32.0), &limited(15.0, infinite), None).unwrap();
    let of = |condition| {
        let likely = detuned.likely.iter().find(|l| l.condition == condition);
        likely.unwrap().probability
    };
    let either = of(Condition::CapacitorDrifted) + of(Condition::MetalNear);
    assert!(either > 0.95, "{detuned:?}");
    let collapsed = judge_coil(&ringing(170e3, 3.5), &limited(15.0, infinite), None).unwrap();
    assert_eq!(collapsed.likely[0].condition, Condition::TurnsShorted);
}

#[test]
fn a_reading_outside_its_limits_is_not_sound_and_one_inside_speaks_for_it() {
    let limits = Standard::Limits(Limits {
        direct_ohm: Some(Range {
            low: 8.0,
            high: 10.0,
        }),
        ..Limits::default()
    });
    for (shown_ohm, sound) in [(7.2, false), (9.2, true), (11.2, false)] {
        let evidence = CoilEvidence {
            ohmmeter: shown(shown_ohm),
            ..CoilEvidence::default()
        };
        let verdict = judge_coil(&evidence, &limits, None).unwrap();
        let first = &verdict.likely[0];
        let likeliest = first.condition == Condition::Sound && first.probability > 0.7;
        assert_eq!(likeliest, sound, "{shown_ohm}: {verdict:?}");
        // An ohmmeter knows nothing of metal.
        assert_ne!(verdict.condition, Condition::Sound);
    }
}

#[test]
fn limits_the_wrong_way_round_and_negative_numbers_are_refused() {
    let limits = Standard::Limits(Limits {
        q: Some(Range {
            low: 40.0,
            high: 20.0,
        }),
        ..Limits::default()
    });
    let refused = judge_coil(&ringing(125e3, 30.0), &limits, None);
    assert!(matches!(refused, Err(FitError::BadRange { .. })));
    for (low, high) in [(0.0, f64::INFINITY), (-1.0, 20.0), (f64::NAN, 20.0)] {
        let refused = judge_coil(&ringing(125e3, 30.0), &limited(low, high), None);
        assert!(matches!(refused, Err(FitError::BadRange { .. })), "{low}");
    }
    let refused = judge_coil(&ringing(-125e3, 30.0), &Standard::Reference(sound()), None);
    assert!(matches!(refused, Err(FitError::NotPositive { .. })));
}

#[test]
fn a_bridge_that_the_ohmmeter_resolves_is_a_bridge_whether_or_not_something_rings() {
    // 0.11 Ω and more over the leads is three deviations, and the winding has 21 Ω; the capacitor and the leads ring into the recorder's band.
    for ohms in [0.31, 0.6, 2.0] {
        for evidence in [
            CoilEvidence {
                ringing: Ringing::NoneSeen,
                ..CoilEvidence::default()
            },
            ringing(350_500.0, 3.8),
            ringing(93_000.0, 12.0),
        ] {
            let evidence = CoilEvidence {
                ohmmeter: shown(ohms),
                ..evidence
            };
            let verdict = judged(&evidence);
            assert_eq!(verdict.condition, Condition::Shorted, "{ohms} {evidence:?}");
            assert!(verdict.findings.iter().any(|f| {
                matches!(f, Finding::Ohmmeter { evidence, .. } if matches!(evidence, OhmmeterEvidence::Shorted { .. }))
            }));
        }
    }
}

#[test]
fn a_sound_ring_or_a_winding_of_few_thick_turns_is_not_called_shorted() {
    let sounds = CoilEvidence {
        ohmmeter: shown(0.31),
        ..ringing(125e3, 31.8)
    };
    assert_ne!(judged(&sounds).condition, Condition::Shorted);
    // 0.11 Ω where 0.1 Ω is expected.
    let thick = CoilNumbers {
        direct_ohm: Some(Estimate::new(0.1, 0.01)),
        ..sound()
    };
    let verdict = judge_coil(&sounds, &Standard::Reference(thick), Some(8.0)).unwrap();
    assert_eq!(verdict.condition, Condition::Sound);
    // A winding of which seven tenths are bridged still has more than a bridge has.
    let most = CoilEvidence {
        ohmmeter: shown(0.2 + 0.3 * 21.0),
        ringing: Ringing::NoneSeen,
        ..CoilEvidence::default()
    };
    assert_ne!(judged(&most).condition, Condition::Shorted);
}

#[test]
fn an_untuned_coil_has_no_capacitor_to_drift() {
    let limits = Standard::Limits(Limits {
        q: Some(Range {
            low: 15.0,
            high: f64::INFINITY,
        }),
        inductance_henry: Some(Range {
            low: 1.5e-3,
            high: 1.7e-3,
        }),
        ..Limits::default()
    });
    let evidence = CoilEvidence {
        numbers: CoilNumbers {
            q: Some(Estimate::new(32.0, 0.1)),
            inductance_henry: Some(Estimate::new(1.6e-3, 1e-6)),
            ..CoilNumbers::default()
        },
        ..CoilEvidence::default()
    };
    let verdict = judge_coil(&evidence, &limits, None).unwrap();
    assert_eq!(verdict.condition, Condition::Sound, "{verdict:?}");
    let drifted =
        |l: &coilwright_coil::condition::Likely| l.condition == Condition::CapacitorDrifted;
    assert!(!verdict.likely.iter().any(drifted));
}

#[test]
fn one_turn_is_one_turn() {
    let verdict = judge_coil(
        &ringing(148e3, 3.9),
        &Standard::Reference(sound()),
        Some(20.0),
    );
    let verdict = verdict.unwrap();
    let text = verdict.likely[0].size_text.clone().unwrap();
    assert!(text.contains(" of 20") && !text.contains("± 0"), "{text}");
}

#[test]
fn a_q_below_its_limit_alone_is_not_called_shorted_turns() {
    let verdict = judge_coil(&ringing(125e3, 12.0), &limited(15.0, f64::INFINITY), None).unwrap();
    assert_eq!(verdict.condition, Condition::CannotTell, "{verdict:?}");
    assert!(
        verdict.likely[0]
            .physics
            .contains("a joint with resistance")
    );
}
