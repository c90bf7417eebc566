//! Which option a model's refusal is about, and what to do.

use coilwright_coil::ModelError;

use crate::error::CommandError;

/// The refusal with the options that it is about.
pub(super) fn explained(source: ModelError) -> CommandError {
    let (options, remedy) = match &source {
        ModelError::OutsideValidity { quantity, .. } => of_quantity(quantity),
        ModelError::SizeDoubtful { .. } => ("--wire", "give it in metres"),
        ModelError::NoRoom { first, .. } => of_room(first),
        ModelError::TooMany { quantity, .. } => of_count(quantity),
        ModelError::NotPositive { .. } => (
            "the sizes",
            "check that they are in metres and fit each other",
        ),
        _ => ("the sizes", "check that they are in metres"),
    };
    CommandError::Geometry {
        options,
        source,
        remedy,
    }
}

/// The same of a second coil.
pub(super) fn of_partner(source: ModelError) -> CommandError {
    near(
        source,
        "--distance, --offset or --tilt",
        "move the second coil out of the winding",
    )
}

/// The same of metal near the coil.
pub(super) fn of_metal(source: ModelError) -> CommandError {
    match source {
        ModelError::OutsideValidity {
            quantity:
                "half the wire's width over the loop's radius"
                | "half the wire's width over the turn's radius"
                | "diameter over skin depth",
            ..
        }
        | ModelError::NoRoom { .. } => CommandError::Geometry {
            options: "--ring-wire, against --ring-diameter",
            source,
            remedy: "take a thinner ring or a wider one",
        },
        _ => near(
            source,
            "--ring-diameter, --ring-wire or --ring-distance",
            "move the ring out of the winding",
        ),
    }
}

/// What touches is named by what was to be moved.
fn near(source: ModelError, options: &'static str, remedy: &'static str) -> CommandError {
    match source {
        ModelError::Touching { .. } | ModelError::NotSettled { .. } => CommandError::Geometry {
            options,
            source,
            remedy,
        },
        _ => explained(source),
    }
}

/// By the quantity that a formula is limited in.
fn of_quantity(quantity: &str) -> (&'static str, &'static str) {
    match quantity {
        "diameter of wire or strand over skin depth" => (
            "--wire or --gauge, at --frequency",
            "take thinner wire or litz with --strands, a lower --frequency, or give the measured --coil-ohm",
        ),
        "diameter over skin depth" => (
            "--wire or --gauge",
            "give it in metres, so that 0.2 mm is 0.2e-3; or take a thinner wire or a lower --frequency",
        ),
        "half the wire's width over the loop's radius"
        | "half the wire's width over the turn's radius" => (
            "--wire or --gauge, against the size of the coil",
            "take thinner wire or a larger coil",
        ),
        "thickness over the short side" => (
            "--wire, --gauge, --turns or --pitch",
            "take thinner wire, fewer turns, more --layers or a larger rectangle",
        ),
        "depth of the bundle over the short side" => (
            "--layers or --pitch",
            "take fewer layers or a smaller pitch",
        ),
        "fill, (outer − inner)/(outer + inner)" => (
            "--inner and --outer",
            "for a thinner band of turns take `coil model multilayer`",
        ),
        "gap over mean radius" => (
            "--plate-gap",
            "nearer than 0.05 of the coil's radius measure it; beyond 20 metal does nothing",
        ),
        "relative permeability" => (
            "--metal-permeability",
            "give 1 for metal that no magnet holds",
        ),
        "coupling coefficient" => (
            "--ring-diameter or --ring-distance",
            "move the ring away from the winding",
        ),
        "bit rate over resonance" => ("--bit-rate", "give bits a second, such as 1953"),
        "temperature in °C" => ("--temperature", "give degrees Celsius from -60 to 200"),
        "angle in radians" => (
            "--tilt",
            "across the field nothing is induced: give less than a right angle",
        ),
        "length over diameter" => (
            "--length and --diameter",
            "no model is given for a shorter or longer rod: measure it",
        ),
        "initial permeability" => ("--permeability", "take it from the ferrite's data sheet"),
        "length over mean radius" => (
            "--key-length, --turns or --pitch",
            "take a shorter coil or a larger diameter",
        ),
        _ => ("the geometry", "choose sizes in that range"),
    }
}

/// By what leaves too little room.
fn of_room(first: &str) -> (&'static str, &'static str) {
    match first {
        "the bundle" => ("--bundle", "give a larger bundle or thinner strands"),
        "the axial pitch" | "the layer pitch" => (
            "--pitch",
            "give at least the wire's diameter, or leave it out",
        ),
        "the coil on the rod" => ("--coil-diameter", "give at least the rod's diameter"),
        _ => (
            "the sizes",
            "check that they are in metres and fit each other",
        ),
    }
}

/// By what there is too much of.
fn of_count(quantity: &str) -> (&'static str, &'static str) {
    match quantity {
        "strands" => ("--strands", "give the number of strands of the litz"),
        "turns of a rectangular winding" => (
            "--turns",
            "measure the resistance of such a winding; this is no usual antenna",
        ),
        _ => ("--turns", "give the turns of the winding"),
    }
}
