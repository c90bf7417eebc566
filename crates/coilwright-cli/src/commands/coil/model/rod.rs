//! A ferrite rod.

use std::f64::consts::{PI, TAU};

use coilwright_coil::inductance::{FerriteRod, demagnetising_factor, rod_permeability};
use coilwright_coil::{Formula, ModelError, Modelled};

use crate::coil_args::RodArgs;
use crate::commands::coil::Sheet;

const OPEN: Formula = Formula {
    name: "ω N S μ B",
    reference: "induction, the coil short and at the rod's middle, without its resonance",
};
/// The field that volts are given for, tesla.
const FIELD: f64 = 1e-6;

/// What a rod multiplies a coil's area by, and the volts that it gives.
pub(super) fn sheet(arguments: &RodArgs) -> Result<Sheet, ModelError> {
    let rod = FerriteRod {
        length_m: arguments.length,
        diameter_m: arguments.diameter,
        initial_permeability: arguments.permeability,
    };
    let apparent = rod_permeability(&rod)?;
    let mut sheet = Sheet::new(
        "model",
        "ferrite rod in an even field along it".to_owned(),
        "Computed from the geometry.",
    );
    sheet.modelled("rod_permeability", "multiplies the area by", "", &apparent);
    let factor = demagnetising_factor(arguments.length / arguments.diameter)?;
    sheet.plain("demagnetising_factor", "demagnetising factor", "", factor);
    if let Some(turns) = arguments.turns {
        let diameter = arguments.coil_diameter.unwrap_or(arguments.diameter);
        // The air between coil and rod is not multiplied.
        let (air, iron) = (diameter.powi(2), arguments.diameter.powi(2));
        if air < iron {
            return Err(ModelError::NoRoom {
                first: "the coil on the rod",
                second: "the rod",
                found_m: diameter,
                needed_m: arguments.diameter,
            });
        }
        let area = 0.25 * PI * (air + (apparent.value - 1.0) * iron);
        let volt = TAU * arguments.frequency * turns * area * FIELD;
        let volt = Modelled::new(volt, apparent.relative_accuracy, OPEN);
        sheet.modelled("volt_per_microtesla", "volts in 1 µT", "V", &volt);
        sheet.plain("at_hz", "at", "Hz", arguments.frequency);
    }
    sheet.notes.push("No inductance: it rises by less than the area, and by how much depends on the coil's length and place. Measure it.".to_owned());
    Ok(sheet)
}
