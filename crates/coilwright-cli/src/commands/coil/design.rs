use std::fmt::Write as _;

use coilwright_coil::ModelError;
use coilwright_coil::coupling::{Placement, SectionCoil};
use coilwright_coil::design::{Aim, Candidate, Partner, Room, ShelfWire, find_windings};
use coilwright_coil::inductance::Section;
use coilwright_coil::loss::{COPPER, Wire};

use super::{Form, Sheet, picture, print};
use crate::Status;
use crate::coil_args::DesignArgs;
use crate::error::CommandError;
use crate::output::number::quantity;
use crate::plot::{Picture, Point, front_page};
use crate::streams::Streams;

/// Diameter over the enamel, over the bare wire's (common practice, no source).
const ENAMELLED: f64 = 1.1;
/// Temperature of the copper, degrees Celsius.
const ROOM_C: f64 = 20.0;

/// Prints the windings that meet the aim.
pub(crate) fn run(arguments: &DesignArgs, streams: &mut Streams<'_>) -> Status {
    let picture = match picture::begin(&arguments.picture, &[]) {
        Ok(picture) => picture,
        Err(error) => return streams.refuse(&error),
    };
    let found = match find(arguments) {
        Ok(found) => found,
        Err(error) => return streams.refuse(&explained(error, arguments)),
    };
    let shown: Vec<&Candidate> = found
        .iter()
        .filter(|candidate| candidate.on_front || arguments.all)
        .collect();
    let status = if arguments.output.json || arguments.output.csv {
        let sheets: Vec<Sheet> = shown.iter().map(|c| sheet(c, arguments)).collect();
        print(&sheets, Form::List, arguments.output, streams)
    } else {
        streams.print(&table(&shown, found.len(), arguments))
    };
    let draw = |picture: Picture| picture.complete(&drawn(&found, arguments));
    picture::after(status, picture, draw, streams)
}

/// All windings over Q: their coupling, or the wire that they take where there is nothing to couple with.
fn drawn(found: &[Candidate], arguments: &DesignArgs) -> String {
    let coupled = arguments.distance.is_some();
    let y = if coupled {
        "coupling coefficient, %"
    } else {
        "length of wire, m"
    };
    let points: Vec<Point> = found
        .iter()
        .map(|candidate| Point {
            at: (
                candidate.q,
                candidate
                    .coupling
                    .map_or(candidate.wire_length_m, |k| 100.0 * k),
            ),
            name: candidate.on_front.then(|| {
                let wire = quantity(wire(candidate, arguments), "m");
                format!("{} × {wire}", candidate.turns)
            }),
        })
        .collect();
    let inductance = quantity(arguments.inductance, "H");
    let frequency = quantity(arguments.frequency, "Hz");
    front_page(&format!("{inductance} at {frequency}"), y, &points)
}

fn find(arguments: &DesignArgs) -> Result<Vec<Candidate>, ModelError> {
    let shelf: Vec<ShelfWire> = arguments
        .wire
        .iter()
        .map(|&diameter_m| ShelfWire {
            wire: Wire::Solid { diameter_m },
            insulated_diameter_m: ENAMELLED * diameter_m,
        })
        .collect();
    let room = Room {
        former_radius_m: 0.5 * arguments.former,
        most_radius_m: 0.5 * arguments.outer,
        most_length_m: arguments.length,
    };
    let aim = Aim {
        frequency_hz: arguments.frequency,
        inductance_henry: arguments.inductance,
        inductance_tolerance: arguments.tolerance,
        q: (arguments.least_q, arguments.most_q.unwrap_or(f64::INFINITY)),
        partner: arguments
            .distance
            .map(|distance| (partner(arguments, distance), arguments.least_coupling)),
        metal: COPPER,
        temperature_c: ROOM_C,
    };
    find_windings(&room, &shelf, &aim)
}

/// Where nothing meets the aim: what the nearest winding misses, and by how much.
fn explained(error: ModelError, arguments: &DesignArgs) -> CommandError {
    let ModelError::NoWinding { nearest, .. } = error else {
        return error.into();
    };
    if nearest.turns == 0 {
        return error.into();
    }
    let mut missed = Vec::new();
    let off = nearest.inductance_henry / arguments.inductance - 1.0;
    if off.abs() > arguments.tolerance {
        missed.push(format!(
            "the inductance is {:+.1} % off, {:.1} % are allowed",
            100.0 * off,
            100.0 * arguments.tolerance
        ));
    }
    let q = quantity(nearest.q, "");
    if nearest.q < arguments.least_q {
        missed.push(format!(
            "Q is {q}, at least {} is wanted",
            arguments.least_q
        ));
    }
    if let Some(most) = arguments.most_q.filter(|most| nearest.q > *most) {
        missed.push(format!("Q is {q}, at most {most} is wanted"));
    }
    // What is left is not in the error.
    if missed.is_empty() {
        let least = arguments.least_coupling;
        missed.push(format!("the coupling is below the least of {least}"));
    }
    CommandError::NoDesign {
        source: error,
        missed: missed.join(", and "),
    }
}

/// The key's coil on the axis of the design.
fn partner(arguments: &DesignArgs, distance_m: f64) -> Partner {
    Partner {
        coil: SectionCoil {
            section: Section {
                mean_radius_m: 0.5 * arguments.key_diameter,
                axial_length_m: arguments.key_length,
                radial_depth_m: 0.0,
            },
            turns: arguments.key_turns,
        },
        placement: Placement::coaxial(distance_m),
    }
}

fn wire(candidate: &Candidate, arguments: &DesignArgs) -> f64 {
    arguments.wire.get(candidate.wire).copied().unwrap_or(0.0)
}

fn sheet(candidate: &Candidate, arguments: &DesignArgs) -> Sheet {
    let wire = wire(candidate, arguments);
    let subject = format!(
        "{} turns of {} wire, layers: {}",
        candidate.turns,
        quantity(wire, "m"),
        candidate.layers
    );
    let method = if candidate.on_front {
        "Computed from the geometry; no other winding found is as good in coupling, Q and copper."
    } else {
        "Computed from the geometry; another winding found is as good in coupling, Q and copper."
    };
    let mut sheet = Sheet::new("design", subject, method);
    let of = candidate;
    sheet.plain("wire_m", "diameter of the wire", "m", wire);
    sheet.plain("turns", "turns", "", of.turns as f64);
    sheet.plain("layers", "layers", "", of.layers as f64);
    sheet.plain(
        "turns_per_layer",
        "turns in a layer",
        "",
        of.turns_per_layer as f64,
    );
    sheet.modelled("inductance_henry", "inductance", "H", &of.inductance_henry);
    sheet.plain("direct_ohm", "resistance, direct", "Ω", of.direct_ohm);
    sheet.modelled(
        "resistance_ohm",
        "resistance, alternating",
        "Ω",
        &of.alternating_ohm,
    );
    sheet.plain("at_hz", "at", "Hz", arguments.frequency);
    sheet.plain("q", "Q of the coil alone", "", of.q);
    sheet.plain("tuning_farad", "tuned there with", "F", of.tuning_farad);
    if let Some(coupling) = of.coupling {
        sheet.plain("coupling_coefficient", "coupling coefficient", "", coupling);
    }
    sheet.plain("length_m", "length of the winding", "m", of.length_m);
    sheet.plain(
        "outer_m",
        "its outer diameter",
        "m",
        2.0 * of.outer_radius_m,
    );
    sheet.plain("wire_length_m", "length of wire", "m", of.wire_length_m);
    sheet
}

/// One line a winding; what each column is stands over it.
fn table(shown: &[&Candidate], found: usize, arguments: &DesignArgs) -> String {
    let mut text = format!(
        "{:>9}{:>7}{:>8}{:>11}{:>7}{:>10}{:>11}{:>8}{:>8}\n",
        "wire", "turns", "layers", "L", "Q", "R", "tuned with", "k", "length"
    );
    for candidate in shown {
        let coupling = candidate
            .coupling
            .map_or("-".to_owned(), |k| format!("{k:.4}"));
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{:>9}{:>7}{:>8}{:>11}{:>7.1}{:>10}{:>11}{:>8}{:>8}",
            quantity(wire(candidate, arguments), "m"),
            candidate.turns,
            candidate.layers,
            quantity(candidate.inductance_henry.value, "H"),
            candidate.q,
            quantity(candidate.alternating_ohm.value, "Ω"),
            quantity(candidate.tuning_farad, "F"),
            coupling,
            format!("{:.1} m", candidate.wire_length_m),
        );
    }
    let _ = writeln!(
        text,
        "Q and R are the coil's alone at {}; k with the key's coil at --distance.",
        quantity(arguments.frequency, "Hz")
    );
    let left = found - shown.len();
    if left > 0 {
        let _ = writeln!(
            text,
            "{left} more meet the aim, but another is as good in coupling, Q and copper at once:\n--all shows them. Formulas and their accuracy: --json."
        );
    }
    text
}
