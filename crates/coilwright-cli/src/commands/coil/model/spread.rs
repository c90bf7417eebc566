//! How the tuned circuit scatters with its parts.

use coilwright_coil::ModelError;
use coilwright_coil::antenna::{DrivenRing, DrivenState, Tank};
use coilwright_coil::tolerance::{Part, Spread, ToleranceResult, spread_of};

use super::circuit::TunedCircuit;
use super::refusal::explained;
use crate::coil_args::{PartArg, SpreadArg, ToleranceArgs};
use crate::commands::coil::Sheet;
use crate::error::CommandError;
use crate::output::number::percent;

/// A result that scatters.
pub(super) struct Scattered {
    pub(super) what: &'static What,
    pub(super) result: ToleranceResult,
    /// Least and largest over corners, draws and the nominal circuit.
    pub(super) worst: (f64, f64),
}

/// How far first order may be from the draws before its shares no longer hold.
const STRAIGHT: f64 = 0.1;

/// What is asked of the circuit, and what its numbers are called.
pub(super) struct What {
    pub(super) name: &'static str,
    noun: &'static str,
    heading: &'static str,
    pub(super) unit: &'static str,
    of: fn(&DrivenState) -> f64,
    needs_ohm: bool,
    needs_drive: bool,
    keys: [&'static str; 7],
    shares: [&'static str; 4],
}

const NAMES: [&str; 7] = [
    "with nominal parts",
    "standard deviation",
    "the same, first order",
    "95 % of circuits from",
    "to",
    "worst case from",
    "to",
];
const SHARES: [&str; 4] = [
    "share of inductance",
    "share of capacitance",
    "share of resistance",
    "share of series",
];

static RESULTS: [What; 3] = [
    What {
        name: "resonance",
        noun: "the resonance",
        heading: "Resonance with these tolerances",
        unit: "Hz",
        of: |state| state.resonance_hz,
        needs_ohm: false,
        needs_drive: false,
        keys: [
            "resonance_nominal_hz",
            "resonance_std_dev_hz",
            "resonance_first_order_hz",
            "resonance_low_hz",
            "resonance_high_hz",
            "resonance_least_hz",
            "resonance_most_hz",
        ],
        shares: [
            "resonance_share_inductance",
            "resonance_share_capacitance",
            "resonance_share_resistance",
            "resonance_share_series",
        ],
    },
    What {
        name: "Q",
        noun: "Q",
        heading: "Q with these tolerances",
        unit: "",
        of: |state| state.loaded_q,
        needs_ohm: true,
        needs_drive: false,
        keys: [
            "q_nominal",
            "q_std_dev",
            "q_first_order",
            "q_low",
            "q_high",
            "q_least",
            "q_most",
        ],
        shares: [
            "q_share_inductance",
            "q_share_capacitance",
            "q_share_resistance",
            "q_share_series",
        ],
    },
    What {
        name: "current in the coil",
        noun: "the current in the coil",
        heading: "Current in the coil with these tolerances",
        unit: "A",
        of: |state| state.coil_peak_ampere,
        needs_ohm: true,
        needs_drive: true,
        keys: [
            "current_nominal_ampere",
            "current_std_dev_ampere",
            "current_first_order_ampere",
            "current_low_ampere",
            "current_high_ampere",
            "current_least_ampere",
            "current_most_ampere",
        ],
        shares: [
            "current_share_inductance",
            "current_share_capacitance",
            "current_share_resistance",
            "current_share_series",
        ],
    },
];

/// Puts the scatter of resonance, Q and current on the sheet, where tolerances are given.
pub(super) fn numbers(
    sheet: &mut Sheet,
    tank: &TunedCircuit,
    arguments: &ToleranceArgs,
) -> Result<Vec<Scattered>, CommandError> {
    if arguments.tolerance.is_empty() {
        return Ok(Vec::new());
    }
    let parts = parts(tank, arguments)?;
    let wanted = RESULTS
        .iter()
        .filter(|what| (tank.has_ohm() || !what.needs_ohm) && (tank.driven || !what.needs_drive));
    let mut scattered = Vec::new();
    for what in wanted {
        let mut result = draw(tank, what, &parts, arguments)?;
        let straight =
            (result.first_order_std_dev - result.std_dev).abs() <= STRAIGHT * result.std_dev;
        if !straight {
            share_by_draws(tank, what, &parts, arguments, &mut result)?;
        }
        let drawn = (result.trials.first(), result.trials.last());
        let all = [drawn.0, drawn.1].into_iter().flatten().copied();
        let worst = all.fold(result.worst_case, |(least, most), v| {
            (
                least.min(v).min(result.nominal),
                most.max(v).max(result.nominal),
            )
        });
        let one = Scattered {
            what,
            result,
            worst,
        };
        put(sheet, &one, straight);
        scattered.push(one);
    }
    Ok(scattered)
}

/// How a result scatters with these parts.
fn draw(
    tank: &TunedCircuit,
    what: &What,
    parts: &[(PartArg, Part)],
    arguments: &ToleranceArgs,
) -> Result<ToleranceResult, CommandError> {
    let values: Vec<Part> = parts.iter().map(|(_, part)| part.clone()).collect();
    spread_of(
        &values,
        arguments.trials as usize,
        arguments.seed,
        |values| Ok((what.of)(&state(tank, parts, values)?)),
    )
    .map_err(explained)
}

/// The shares from the draws of each part by itself, for results that bend within the tolerances.
fn share_by_draws(
    tank: &TunedCircuit,
    what: &What,
    parts: &[(PartArg, Part)],
    arguments: &ToleranceArgs,
    result: &mut ToleranceResult,
) -> Result<(), CommandError> {
    let mut total = 0.0;
    for part in parts {
        let alone = draw(tank, what, std::slice::from_ref(part), arguments)?;
        let variance = alone.std_dev * alone.std_dev;
        total += variance;
        for share in result.parts.iter_mut().filter(|p| p.name == part.1.name) {
            share.variance_share = variance;
        }
    }
    for share in &mut result.parts {
        share.variance_share /= total.max(f64::MIN_POSITIVE);
    }
    result
        .parts
        .sort_by(|a, b| b.variance_share.total_cmp(&a.variance_share));
    Ok(())
}

/// The circuit with these values of its parts.
fn state(
    tank: &TunedCircuit,
    parts: &[(PartArg, Part)],
    values: &[f64],
) -> Result<DrivenState, ModelError> {
    let mut ring: DrivenRing = tank.ring;
    for ((part, _), &value) in parts.iter().zip(values) {
        match part {
            PartArg::Inductance => ring.inductance_henry = value,
            PartArg::Capacitance => ring.capacitance_farad = value + tank.own_farad,
            PartArg::Resistance => ring.coil_ohm = value,
            PartArg::Series => {
                ring.tank = match ring.tank {
                    Tank::Series { .. } => Tank::Series { driver_ohm: value },
                    Tank::Parallel { .. } => Tank::Parallel { driver_ohm: value },
                }
            }
        }
    }
    ring.state()
}

/// The parts that scatter, each once.
fn parts(
    tank: &TunedCircuit,
    arguments: &ToleranceArgs,
) -> Result<Vec<(PartArg, Part)>, CommandError> {
    let mut parts: Vec<(PartArg, Part)> = Vec::new();
    for &(part, relative_tolerance) in &arguments.tolerance {
        let name = part.name();
        if parts.iter().any(|(there, _)| *there == part) {
            return Err(CommandError::ToleranceTwice { name });
        }
        let nominal = match part {
            PartArg::Inductance => tank.ring.inductance_henry,
            PartArg::Capacitance => tank.ring.capacitance_farad - tank.own_farad,
            PartArg::Resistance => {
                tank.needs_ohm("--tolerance resistance")?;
                tank.ring.coil_ohm
            }
            PartArg::Series => {
                tank.needs_ohm("--tolerance series")?;
                tank.series_ohm()
            }
        };
        if nominal == 0.0 {
            return Err(CommandError::ToleranceOfNothing);
        }
        let spread = match arguments.spread {
            SpreadArg::Even => Spread::Even,
            SpreadArg::ThreeSigma => Spread::ThreeSigma,
            SpreadArg::Triangle => Spread::Triangle,
        };
        let part_of = Part {
            name: name.to_owned(),
            nominal,
            relative_tolerance,
            spread,
        };
        parts.push((part, part_of));
    }
    Ok(parts)
}

fn put(sheet: &mut Sheet, one: &Scattered, straight: bool) {
    let (what, result) = (one.what, &one.result);
    let drawn = format!(
        "Monte Carlo of {} circuits; JCGM 101:2008 (from memory)",
        result.trials.len()
    );
    let first = "derivatives; JCGM 100:2008, 5.1.2 (from memory)".to_owned();
    let corners = "every corner of the tolerances, and the circuits drawn".to_owned();
    let numbers = [
        (result.nominal, None),
        (result.std_dev, Some(drawn.clone())),
        (result.first_order_std_dev, Some(first)),
        (result.central_95.0, Some(drawn)),
        (result.central_95.1, None),
        (one.worst.0, Some(corners)),
        (one.worst.1, None),
    ];
    sheet.part(what.heading);
    for ((key, name), (value, source)) in what.keys.into_iter().zip(NAMES).zip(numbers) {
        sheet.sourced(key, name, what.unit, value, source);
    }
    for share in &result.parts {
        let place = PartArg::ALL.iter().position(|p| p.name() == share.name);
        if let Some(place) = place {
            let value = share.variance_share;
            sheet.plain(what.shares[place], SHARES[place], "", value);
        }
    }
    if !straight {
        sheet.notes.push(format!(
            "As at the top of a resonance, {} bends within these tolerances: first order does not hold; the shares are of the draws of each part by itself.",
            what.noun
        ));
    }
    let most = result
        .parts
        .first()
        .filter(|part| part.variance_share > 0.0);
    match most {
        Some(part) => sheet.notes.push(format!(
            "The spread of {} comes mostly from the {}: {} of its variance.",
            what.noun,
            part.name,
            percent(part.variance_share)
        )),
        None => sheet
            .notes
            .push(format!("These parts do not change {}.", what.noun)),
    }
}
