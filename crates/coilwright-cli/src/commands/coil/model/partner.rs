//! A second coil near the first: coupling, field, volts and range.

use std::f64::consts::{PI, TAU};

use coilwright_coil::antenna::{KeyCoil, axial_field_tesla, energising_range_m, field_for_volt};
use coilwright_coil::coupling::{Placement, SectionCoil, coils_henry};
use coilwright_coil::inductance::Section;
use coilwright_coil::{Formula, Modelled};

use super::base::Found;
use super::circuit::TunedCircuit;
use super::refusal::{explained, of_partner};
use crate::coil_args::PartnerArgs;
use crate::commands::coil::Sheet;
use crate::error::CommandError;

const AXIAL: Formula = Formula {
    name: "Biot and Savart on the axis, the coil as one circle",
    reference: "Microchip AN678 (second hand)",
};
const INDUCED: Formula = Formula {
    name: "ωMI times the second coil's Q",
    reference: "without a chip's clamp; M and I as above",
};
const RANGE: Formula = Formula {
    name: "the axial field that makes these volts, V = 2πf N S Q B cos α",
    reference: "Microchip AN678 (second hand)",
};
/// What the permeability of a rod is good to.
const ROD: f64 = 0.25;

/// Puts what a second coil has of the first on the sheet, where it is asked for.
pub(super) fn numbers(
    sheet: &mut Sheet,
    found: &Found,
    arguments: &PartnerArgs,
    tank: &TunedCircuit,
) -> Result<(), CommandError> {
    let Some(distance_m) = arguments.distance else {
        return Ok(());
    };
    let coil = found.section.ok_or(CommandError::RoundOnly {
        option: "--distance",
    })?;
    let placement = Placement {
        axial_m: distance_m,
        lateral_m: arguments.offset,
        tilt_rad: arguments.tilt.to_radians(),
        tilt_direction_rad: 0.0,
    };
    let key = SectionCoil {
        section: Section {
            mean_radius_m: 0.5 * arguments.key_diameter,
            axial_length_m: arguments.key_length,
            radial_depth_m: 0.0,
        },
        turns: arguments.key_turns,
    };
    sheet.part("At the second coil");
    let plain = coils_henry(&coil, &key, &placement).map_err(of_partner)?;
    let rod = arguments.key_rod.map_or(0.0, |_| ROD);
    let mutual = Modelled::new(
        plain.value * arguments.key_rod.unwrap_or(1.0),
        plain.relative_accuracy + rod,
        plain.formula,
    );
    sheet.modelled("mutual_henry", "mutual inductance", "H", &mutual);
    if arguments.key_rod.is_none() {
        let own = key.inductance_henry().map_err(explained)?;
        let root = (found.inductance.value * own.value).sqrt();
        let accuracy = plain.relative_accuracy
            + 0.5 * (found.inductance.relative_accuracy + own.relative_accuracy);
        let k = Modelled::new(plain.value / root, accuracy, plain.formula);
        sheet.modelled("coupling_coefficient", "coupling coefficient", "", &k);
    } else {
        sheet.notes.push("No coupling coefficient: how much a rod raises the second coil's own inductance has to be measured.".to_owned());
    }
    if !tank.driven {
        return Ok(());
    }
    let at = At {
        found,
        arguments,
        coil,
        distance_m,
        mutual,
    };
    at.driven(sheet, tank)
}

/// A driven coil and the second one at its place.
struct At<'a> {
    found: &'a Found,
    arguments: &'a PartnerArgs,
    coil: SectionCoil,
    distance_m: f64,
    mutual: Modelled,
}

impl At<'_> {
    fn driven(&self, sheet: &mut Sheet, tank: &TunedCircuit) -> Result<(), CommandError> {
        let (arguments, frequency) = (self.arguments, self.found.frequency_hz);
        let current = tank.number(AXIAL, |s| s.coil_peak_ampere)?;
        let radius = self.coil.section.mean_radius_m;
        let ampere_turns = self.coil.turns * current.value;
        if arguments.offset == 0.0 {
            let tesla =
                axial_field_tesla(radius, ampere_turns, self.distance_m).map_err(explained)?;
            let accuracy = current.relative_accuracy + self.as_a_circle();
            let field = Modelled::new(tesla, accuracy, AXIAL);
            sheet.modelled("field_peak_tesla", "field there, peak", "T", &field);
        }
        let volt = TAU * frequency * self.mutual.value * current.value * arguments.key_q;
        let accuracy = current.relative_accuracy + self.mutual.relative_accuracy;
        let volt = Modelled::new(volt.abs(), accuracy, INDUCED);
        sheet.modelled("key_peak_volt", "volts in it, peak", "V", &volt);
        if let Some(needed) = arguments.key_needs {
            let key = KeyCoil {
                turns: arguments.key_turns,
                area_m2: 0.25
                    * PI
                    * arguments.key_diameter.powi(2)
                    * arguments.key_rod.unwrap_or(1.0),
                q: arguments.key_q,
            };
            let tilt = arguments.tilt.to_radians();
            let tesla = field_for_volt(&key, needed, frequency, tilt).map_err(explained)?;
            let reach = energising_range_m(radius, ampere_turns, tesla).map_err(explained)?;
            if reach > 0.0 {
                let range = Modelled::new(reach, self.range_accuracy(current, reach), RANGE);
                sheet.modelled("range_m", "wakes on the axis up to", "m", &range);
            } else {
                sheet.notes.push("The field does not wake the second coil anywhere on the axis: more turns, current or Q are needed.".to_owned());
            }
        }
        Ok(())
    }

    /// How far the axial field may be off with all turns in one circle: the next term of its expansion over length and depth.
    fn as_a_circle(&self) -> f64 {
        self.circle_at(self.distance_m)
    }

    fn circle_at(&self, distance_m: f64) -> f64 {
        let section = &self.coil.section;
        let size = section.axial_length_m.powi(2) + section.radial_depth_m.powi(2);
        0.5 * size / (section.mean_radius_m.powi(2) + distance_m.powi(2))
    }

    /// The field falls with the third power at most, so the range is as sure as a third of it, less near the coil.
    fn range_accuracy(&self, current: Modelled, reach: f64) -> f64 {
        let rod = self.arguments.key_rod.map_or(0.0, |_| ROD);
        let field = current.relative_accuracy + rod + self.circle_at(reach);
        let radius = self.coil.section.mean_radius_m;
        // d ln r / d ln B = (a² + r²)/(3 r²).
        field * (radius * radius + reach * reach) / (3.0 * reach * reach)
    }
}
