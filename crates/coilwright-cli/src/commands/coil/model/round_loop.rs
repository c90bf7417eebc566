//! One round turn.

use std::f64::consts::TAU;

use coilwright_coil::coupling::SectionCoil;
use coilwright_coil::inductance::{CircularLoop, Section, circular_loop_henry};
use coilwright_coil::loss::thin_loop_resistance;
use coilwright_coil::{ModelError, Modelled};

use super::coil::{Coil, Length, Resistance, SQUARE};
use super::refusal::explained;
use super::winding::required;
use super::wire::Wired;
use crate::coil_args::LoopArgs;
use crate::error::CommandError;

struct RoundLoop {
    radius_m: f64,
    wire: Wired,
}

pub(super) fn of(arguments: &LoopArgs) -> Result<Box<dyn Coil>, CommandError> {
    let wire = required(Wired::of(&arguments.wire).map_err(explained)?)?;
    Ok(Box::new(RoundLoop {
        radius_m: 0.5 * arguments.diameter,
        wire,
    }))
}

impl Coil for RoundLoop {
    fn subject(&self) -> String {
        format!("circular loop, one turn; {}", self.wire.described)
    }

    fn inductance(&self, frequency_hz: f64) -> Result<Modelled, ModelError> {
        circular_loop_henry(&CircularLoop {
            radius_m: self.radius_m,
            conductor: self.wire.conductor(frequency_hz)?,
        })
    }

    fn resistance(&self, frequency_hz: f64) -> Result<Resistance, ModelError> {
        let Some(loss) = &self.wire.loss else {
            return Ok(SQUARE);
        };
        let (length, rho) = (TAU * self.radius_m, self.wire.resistivity_ohm_m);
        thin_loop_resistance(length, self.radius_m, loss, rho, frequency_hz)
            .map(|resistance| Resistance::Known(resistance.alternating_ohm))
    }

    fn wire(&self) -> Result<Option<Length>, ModelError> {
        self.wire.length(TAU * self.radius_m).map(Some)
    }

    fn section(&self) -> Result<Option<SectionCoil>, ModelError> {
        Ok(Some(SectionCoil {
            section: Section {
                mean_radius_m: self.radius_m,
                axial_length_m: 0.0,
                radial_depth_m: 0.0,
            },
            turns: 1.0,
        }))
    }
}
