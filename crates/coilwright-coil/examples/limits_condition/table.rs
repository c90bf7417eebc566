//! The judging of all coils, and the tables.

use crate::bench::{Bench, Origin};
use crate::coil::{Ring, Wound, wind};
use crate::fault::Fault;
use crate::measure::{Means, another_day, measure, reference_numbers};
use coilwright_coil::condition::{Condition, Design, Standard, Toleranced, judge_coil};
use rand::{Rng, RngExt};

const TRUTHS: [Condition; 6] = [
    Condition::Sound,
    Condition::Open,
    Condition::Shorted,
    Condition::TurnsShorted,
    Condition::CapacitorDrifted,
    Condition::MetalNear,
];

/// One coil, judged.
pub(crate) struct Row {
    truth: Condition,
    found: Condition,
    means: Means,
    against: Against,
    /// Size of what is wrong, and what was said of it with its deviation.
    size: f64,
    said: Option<(f64, f64)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Against {
    Reference,
    Design,
}

/// Coils in every condition, by every means, against a reference and against a design.
pub(crate) fn judge_all(coils: usize, origin: Origin, random: &mut impl Rng) -> Vec<Row> {
    let mut rows = Vec::new();
    for truth in TRUTHS {
        for means in Means::ALL {
            for against in [Against::Reference, Against::Design] {
                for _ in 0..coils {
                    rows.push(judge(truth, means, against, origin, random));
                }
            }
        }
    }
    rows
}

fn judge(
    truth: Condition,
    means: Means,
    against: Against,
    origin: Origin,
    random: &mut impl Rng,
) -> Row {
    let wound = wind(random);
    let least = match against {
        Against::Reference => 0.02,
        Against::Design => 2.0 * TOLERANCE,
    };
    let fault = Fault::draw(truth, &wound, least, random);
    let bench = |fault, sound| Bench {
        wound: &wound,
        fault,
        sound,
        origin,
    };
    let (sound, standard) = match against {
        Against::Reference => {
            let before = another_day(wound.ring, random);
            let numbers = measure(&bench(&Fault::None, before), means, random);
            let standard = Standard::Reference(reference_numbers(&numbers, &before));
            (another_day(wound.ring, random), standard)
        }
        Against::Design => (spread(wound.ring, random), design(&wound, means)),
    };
    let evidence = measure(&bench(&fault, sound), means, random);
    let turns = Some(wound.ring.turns as f64);
    let verdict = judge_coil(&evidence, &standard, turns).expect("a verdict");
    let said = verdict
        .likely
        .iter()
        .find(|l| l.condition == truth)
        .and_then(|l| l.size.map(|s| (s.value, s.std_dev)));
    Row {
        truth,
        found: verdict.condition,
        means,
        against,
        size: fault.size(&wound),
        said,
    }
}

const TOLERANCE: f64 = 0.05;
const LOSS_TOLERANCE: f64 = 0.15;

/// A coil as it was made: all parts anywhere within their tolerances.
fn spread(mut ring: Ring, random: &mut impl Rng) -> Ring {
    let mut part = |tolerance: f64| 1.0 + tolerance * random.random_range(-1.0..1.0);
    let inductance = part(TOLERANCE);
    ring.inductance_henry *= inductance;
    ring.capacitance_farad *= part(TOLERANCE);
    let loss = part(LOSS_TOLERANCE);
    ring.resistance_ohm *= loss;
    ring.driver_ohm *= loss;
    ring.direct_ohm *= part(TOLERANCE);
    ring
}

fn design(wound: &Wound, means: Means) -> Standard {
    let ring = &wound.ring;
    // A ring-down sees the driver's resistance too.
    let driver_ohm = if means == Means::Impedance {
        0.0
    } else {
        ring.driver_ohm
    };
    let part = |value: f64, relative_tolerance: f64| Toleranced {
        value,
        relative_tolerance,
    };
    Standard::Design(Design {
        inductance_henry: part(ring.inductance_henry, TOLERANCE),
        capacitance_farad: Some(part(ring.capacitance_farad, TOLERANCE)),
        resistance_ohm: Some(part(ring.resistance_ohm + driver_ohm, LOSS_TOLERANCE)),
        direct_ohm: Some(part(ring.direct_ohm, TOLERANCE)),
    })
}

pub(crate) fn print(rows: &[Row]) {
    for (against, title) in [
        (
            Against::Reference,
            "Against the same coil when it was sound",
        ),
        (
            Against::Design,
            "Against the design (5 % of inductance, capacitance and direct-current resistance, 15 % of loss)",
        ),
    ] {
        println!("\n### {title}\n");
        for means in Means::ALL {
            let chosen: Vec<&Row> = rows
                .iter()
                .filter(|r| r.against == against && r.means == means)
                .collect();
            println!("#### {}\n", means.name());
            confusion(&chosen);
        }
        let chosen: Vec<&Row> = rows.iter().filter(|r| r.against == against).collect();
        summary(&chosen);
    }
}

fn confusion(rows: &[&Row]) {
    println!(
        "| truth | sound | open | shorted | turns shorted | capacitor drifted | metal near | cannot tell |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    for truth in TRUTHS {
        let of = |found: Condition| {
            rows.iter()
                .filter(|r| r.truth == truth && r.found == found)
                .count()
        };
        let cells: Vec<String> = TRUTHS
            .into_iter()
            .chain([Condition::CannotTell])
            .map(|found| match of(found) {
                0 => ".".to_owned(),
                n => n.to_string(),
            })
            .collect();
        println!("| {} | {} |", name(truth), cells.join(" | "));
    }
    println!();
}

fn summary(rows: &[&Row]) {
    let count = |of: &dyn Fn(&Row) -> bool| rows.iter().filter(|r| of(r)).count();
    let faulty = count(&|r| r.truth != Condition::Sound);
    let wrong_sound = count(&|r| r.truth != Condition::Sound && r.found == Condition::Sound);
    let wrong_fault =
        count(&|r| ![r.truth, Condition::CannotTell, Condition::Sound].contains(&r.found));
    println!(
        "Wrong \"sound\": {wrong_sound} of {faulty} faulty coils. Wrong fault named: {wrong_fault} of {}.",
        rows.len()
    );
    for (low, high) in [(0.0, 0.06), (0.06, 0.12), (0.12, 1.0)] {
        let within = |r: &Row| r.truth == Condition::TurnsShorted && r.size >= low && r.size < high;
        let all = count(&within);
        let found = count(&|r| within(r) && r.found == Condition::TurnsShorted);
        println!(
            "Shorted turns, {:.0} to {:.0} % of the turns: {found} of {all} found.",
            100.0 * low.max(0.03),
            100.0 * high.min(0.3)
        );
    }
    let errors: Vec<f64> = rows
        .iter()
        .filter(|r| r.truth == Condition::TurnsShorted && r.found == r.truth)
        .filter_map(|r| {
            r.said
                .map(|(value, deviation)| (value - r.size) / deviation)
        })
        .collect();
    let within_two = errors.iter().filter(|e| e.abs() < 2.0).count();
    println!(
        "Part of the turns: true within two stated deviations in {within_two} of {}.",
        errors.len()
    );
}

const fn name(condition: Condition) -> &'static str {
    match condition {
        Condition::Sound => "sound",
        Condition::Open => "open",
        Condition::Shorted => "shorted",
        Condition::TurnsShorted => "turns shorted",
        Condition::CapacitorDrifted => "capacitor drifted",
        Condition::MetalNear => "metal near",
        _ => "cannot tell",
    }
}
