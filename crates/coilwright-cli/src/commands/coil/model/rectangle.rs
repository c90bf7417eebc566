//! A rectangle of one turn or several.

use coilwright_coil::inductance::{
    RectangularCoil, RectangularLoop, rectangular_coil_henry, rectangular_loop_henry,
};
use coilwright_coil::loss::{RectangularWinding, rectangular_resistance, thin_loop_resistance};
use coilwright_coil::{ModelError, Modelled};

use super::coil::{Coil, Length, NO_OWN, Resistance, SQUARE};
use super::refusal::explained;
use super::winding::{CLOSE, per_layer, required};
use super::wire::Wired;
use crate::coil_args::RectangleArgs;
use crate::error::CommandError;

struct Rectangle {
    winding: RectangularWinding,
    wire: Wired,
}

pub(super) fn of(arguments: &RectangleArgs) -> Result<Box<dyn Coil>, CommandError> {
    let wire = required(Wired::of(&arguments.wire).map_err(explained)?)?;
    let pitch_m = arguments.pitch.unwrap_or(CLOSE * wire.width_m());
    let winding = RectangularWinding {
        width_m: arguments.width,
        height_m: arguments.height,
        turns: arguments.turns,
        turns_per_layer: per_layer(arguments.turns, arguments.layers)?,
        pitch_m,
    };
    winding.layers().map_err(explained)?;
    if winding.turns > 1 && pitch_m < wire.width_m() {
        return Err(explained(ModelError::NoRoom {
            first: "the axial pitch",
            second: "the wire",
            found_m: pitch_m,
            needed_m: wire.width_m(),
        }));
    }
    Ok(Box::new(Rectangle { winding, wire }))
}

impl Coil for Rectangle {
    fn subject(&self) -> String {
        let turns = match self.winding.turns {
            1 => "one turn".to_owned(),
            several => format!(
                "{several} turns, layers: {}",
                several.div_ceil(self.winding.turns_per_layer)
            ),
        };
        format!("rectangular loop, {turns}; {}", self.wire.described)
    }

    fn inductance(&self, frequency_hz: f64) -> Result<Modelled, ModelError> {
        let winding = &self.winding;
        if winding.turns == 1 {
            return rectangular_loop_henry(&RectangularLoop {
                width_m: winding.width_m,
                height_m: winding.height_m,
                conductor: self.wire.conductor(frequency_hz)?,
            });
        }
        rectangular_coil_henry(&RectangularCoil {
            width_m: winding.width_m,
            height_m: winding.height_m,
            bundle_length_m: winding.turns_per_layer as f64 * winding.pitch_m,
            bundle_depth_m: winding.layers()? as f64 * winding.pitch_m,
            turns: winding.turns as f64,
        })
    }

    fn resistance(&self, frequency_hz: f64) -> Result<Resistance, ModelError> {
        let Some(loss) = &self.wire.loss else {
            return Ok(SQUARE);
        };
        let (winding, rho) = (&self.winding, self.wire.resistivity_ohm_m);
        let found = if winding.turns == 1 {
            let half = 0.5 * winding.width_m.min(winding.height_m);
            thin_loop_resistance(winding.wire_length_m()?, half, loss, rho, frequency_hz)
        } else {
            rectangular_resistance(winding, loss, rho, frequency_hz)
        };
        found.map(|resistance| Resistance::Known(resistance.alternating_ohm))
    }

    fn wire(&self) -> Result<Option<Length>, ModelError> {
        self.wire.length(self.winding.wire_length_m()?).map(Some)
    }

    fn notes(&self) -> Vec<&'static str> {
        match self.winding.turns {
            1 => Vec::new(),
            _ => vec![NO_OWN],
        }
    }
}
