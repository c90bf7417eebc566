//! A flat spiral: as a sheet, or of wire as layers of one turn.

use coilwright_coil::coupling::SectionCoil;
use coilwright_coil::inductance::{
    Conductor, FlatSpiral, LayerWinding, Section, SpiralOutline, flat_spiral_henry, turn_sum_henry,
};
use coilwright_coil::{ModelError, Modelled};

use super::coil::{Coil, Length, NO_OWN, Resistance, Second};
use super::refusal::explained;
use super::winding::{self, CLOSE};
use super::wire::Wired;
use crate::coil_args::{OutlineArg, SpiralArgs};
use crate::error::CommandError;

/// A spiral of which only the outline is known.
struct Outlined {
    outline: OutlineArg,
    spiral: FlatSpiral,
}

/// A round spiral of wire.
struct Wound {
    outlined: Outlined,
    winding: LayerWinding,
    wire: Wired,
}

pub(super) fn of(arguments: &SpiralArgs) -> Result<Box<dyn Coil>, CommandError> {
    if arguments.inner >= arguments.outer {
        return Err(CommandError::SpiralInsideOut {
            inner_m: arguments.inner,
            outer_m: arguments.outer,
        });
    }
    let outlined = Outlined {
        outline: arguments.outline,
        spiral: FlatSpiral {
            outline: match arguments.outline {
                OutlineArg::Circle => SpiralOutline::Circle,
                OutlineArg::Square => SpiralOutline::Square,
                OutlineArg::Hexagon => SpiralOutline::Hexagon,
                OutlineArg::Octagon => SpiralOutline::Octagon,
            },
            inner_diameter_m: arguments.inner,
            outer_diameter_m: arguments.outer,
            turns: arguments.turns,
        },
    };
    let Some(wire) = Wired::of(&arguments.wire).map_err(explained)? else {
        return Ok(Box::new(outlined));
    };
    if arguments.outline != OutlineArg::Circle || arguments.turns.fract() != 0.0 {
        return Err(CommandError::SpiralOfWire);
    }
    let winding = turns_of_wire(arguments, &wire)?;
    Ok(Box::new(Wound {
        outlined,
        winding,
        wire,
    }))
}

/// The turns from the inner to the outer edge, evenly apart, each a layer of its own.
fn turns_of_wire(arguments: &SpiralArgs, wire: &Wired) -> Result<LayerWinding, CommandError> {
    let width = wire.width_m();
    let turns = arguments.turns as usize;
    let depth = 0.5 * (arguments.outer - arguments.inner);
    let needed_m = width * arguments.turns;
    if depth * (1.0 + 1e-9) < needed_m {
        return Err(CommandError::SpiralTight {
            found_m: depth,
            needed_m,
        });
    }
    let gaps = turns.saturating_sub(1);
    let pitch = if gaps == 0 {
        CLOSE * width
    } else {
        (depth - width) / gaps as f64
    };
    let winding = LayerWinding {
        former_radius_m: 0.5 * (arguments.inner + width - pitch),
        turns,
        turns_per_layer: 1,
        axial_pitch_m: pitch,
        layer_pitch_m: pitch,
        conductor: Conductor::round(width),
    };
    winding.layers().map_err(explained)?;
    Ok(winding)
}

impl Coil for Outlined {
    fn subject(&self) -> String {
        let outline = match self.outline {
            OutlineArg::Circle => "round",
            OutlineArg::Square => "square",
            OutlineArg::Hexagon => "six-sided",
            OutlineArg::Octagon => "eight-sided",
        };
        format!("flat {outline} spiral; {} turns", self.spiral.turns)
    }

    fn inductance(&self, _frequency_hz: f64) -> Result<Modelled, ModelError> {
        flat_spiral_henry(&self.spiral)
    }

    fn resistance(&self, _frequency_hz: f64) -> Result<Resistance, ModelError> {
        Ok(Resistance::Unknown(
            "the wire is not known: give --wire or --gauge for a round spiral of wire; there is no formula here for flat tracks",
        ))
    }

    fn wire(&self) -> Result<Option<Length>, ModelError> {
        Ok(None)
    }

    fn notes(&self) -> Vec<&'static str> {
        vec![NO_OWN]
    }

    fn section(&self) -> Result<Option<SectionCoil>, ModelError> {
        if self.outline != OutlineArg::Circle {
            return Ok(None);
        }
        let (inner, outer) = (self.spiral.inner_diameter_m, self.spiral.outer_diameter_m);
        Ok(Some(SectionCoil {
            section: Section {
                mean_radius_m: 0.25 * (inner + outer),
                axial_length_m: 0.0,
                radial_depth_m: 0.5 * (outer - inner),
            },
            turns: self.spiral.turns,
        }))
    }
}

impl Coil for Wound {
    fn subject(&self) -> String {
        format!("{}; {}", self.outlined.subject(), self.wire.described)
    }

    fn inductance(&self, frequency_hz: f64) -> Result<Modelled, ModelError> {
        turn_sum_henry(&winding::at(&self.winding, &self.wire, frequency_hz)?)
    }

    fn second(&self, frequency_hz: f64) -> Result<Vec<Second>, ModelError> {
        Ok(vec![Second {
            key: "inductance_quick_henry",
            name: winding::QUICKER,
            number: self.outlined.inductance(frequency_hz),
        }])
    }

    fn resistance(&self, frequency_hz: f64) -> Result<Resistance, ModelError> {
        winding::resistance(&self.winding, &self.wire, frequency_hz)
    }

    fn wire(&self) -> Result<Option<Length>, ModelError> {
        self.wire.length(self.winding.wire_length_m()?).map(Some)
    }

    fn notes(&self) -> Vec<&'static str> {
        self.outlined.notes()
    }

    fn section(&self) -> Result<Option<SectionCoil>, ModelError> {
        self.outlined.section()
    }
}
