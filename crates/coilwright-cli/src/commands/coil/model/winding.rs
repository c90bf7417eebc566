//! Windings of wire in layers on a round former.

use coilwright_coil::capacitance::{LayerOrder, layered_farad, medhurst_farad};
use coilwright_coil::coupling::SectionCoil;
use coilwright_coil::inductance::{
    Conductor, LayerWinding, Solenoid, multilayer_henry, solenoid_of_wire_henry, turn_sum_henry,
    wheeler_solenoid_1982_henry,
};
use coilwright_coil::loss::winding_resistance;
use coilwright_coil::{ModelError, Modelled};

use super::coil::{Coil, Length, Resistance, SQUARE, Second};
use super::refusal::explained;
use super::wire::Wired;
use crate::coil_args::WoundArgs;
use crate::error::CommandError;

/// Pitch over the wire's diameter where it is not given: enamelled wire, close wound.
pub(super) const CLOSE: f64 = 1.1;
/// What a second formula for the same coil is called.
pub(super) const QUICKER: &str = "the same, quicker";
/// Relative permittivity of enamel, about (common practice, no source).
const ENAMEL: f64 = 3.5;

/// Layers of wire on a round former.
struct Wound {
    name: &'static str,
    winding: LayerWinding,
    wire: Wired,
}

pub(super) fn solenoid(arguments: &WoundArgs) -> Result<Box<dyn Coil>, CommandError> {
    wound("solenoid", arguments)
}

pub(super) fn multilayer(arguments: &WoundArgs) -> Result<Box<dyn Coil>, CommandError> {
    wound("multilayer coil", arguments)
}

fn wound(name: &'static str, arguments: &WoundArgs) -> Result<Box<dyn Coil>, CommandError> {
    let wire = required(Wired::of(&arguments.wire).map_err(explained)?)?;
    let pitch = arguments.pitch.unwrap_or(CLOSE * wire.width_m());
    let winding = LayerWinding {
        former_radius_m: 0.5 * arguments.diameter,
        turns: arguments.turns,
        turns_per_layer: per_layer(arguments.turns, arguments.layers)?,
        axial_pitch_m: pitch,
        layer_pitch_m: pitch,
        conductor: Conductor::round(wire.width_m()),
    };
    winding.layers().map_err(explained)?;
    Ok(Box::new(Wound {
        name,
        winding,
        wire,
    }))
}

/// The wire of shapes that cannot do without.
pub(super) fn required(wire: Option<Wired>) -> Result<Wired, CommandError> {
    wire.ok_or(CommandError::WireMissing)
}

/// Turns of a full layer.
pub(super) fn per_layer(turns: usize, layers: usize) -> Result<usize, CommandError> {
    let per_layer = turns.div_ceil(layers.max(1)).max(1);
    let filled = turns.div_ceil(per_layer);
    if filled == layers {
        return Ok(per_layer);
    }
    Err(CommandError::LayersUnfilled {
        layers,
        turns,
        per_layer,
        filled,
    })
}

/// The winding with its wire at a frequency.
pub(super) fn at(
    winding: &LayerWinding,
    wire: &Wired,
    frequency_hz: f64,
) -> Result<LayerWinding, ModelError> {
    Ok(LayerWinding {
        conductor: wire.conductor(frequency_hz)?,
        ..*winding
    })
}

/// Resistance of a winding, where there is a formula for its wire.
pub(super) fn resistance(
    winding: &LayerWinding,
    wire: &Wired,
    frequency_hz: f64,
) -> Result<Resistance, ModelError> {
    let Some(loss) = &wire.loss else {
        return Ok(SQUARE);
    };
    winding_resistance(winding, loss, wire.resistivity_ohm_m, frequency_hz)
        .map(|resistance| Resistance::Known(resistance.alternating_ohm))
}

/// A winding as its section.
pub(super) fn section(winding: &LayerWinding) -> Result<Option<SectionCoil>, ModelError> {
    Ok(Some(SectionCoil {
        section: winding.section()?,
        turns: winding.turns as f64,
    }))
}

impl Wound {
    fn is_single(&self) -> bool {
        self.winding.turns <= self.winding.turns_per_layer
    }

    fn solenoid(&self) -> Solenoid {
        Solenoid {
            diameter_m: 2.0 * self.winding.layer_radius_m(0),
            length_m: self.winding.turns as f64 * self.winding.axial_pitch_m,
            turns: self.winding.turns as f64,
        }
    }
}

impl Coil for Wound {
    fn subject(&self) -> String {
        let layers = self.winding.turns.div_ceil(self.winding.turns_per_layer);
        format!(
            "{}; {} turns, layers: {layers}; {}",
            self.name, self.winding.turns, self.wire.described
        )
    }

    fn inductance(&self, frequency_hz: f64) -> Result<Modelled, ModelError> {
        turn_sum_henry(&at(&self.winding, &self.wire, frequency_hz)?)
    }

    fn second(&self, frequency_hz: f64) -> Result<Vec<Second>, ModelError> {
        let winding = at(&self.winding, &self.wire, frequency_hz)?;
        let quick = |number| Second {
            key: "inductance_quick_henry",
            name: QUICKER,
            number,
        };
        if !self.is_single() {
            return Ok(vec![quick(multilayer_henry(&winding))]);
        }
        let solenoid = self.solenoid();
        let sheet = Second {
            key: "inductance_wheeler_henry",
            name: "as a current sheet",
            number: wheeler_solenoid_1982_henry(&solenoid),
        };
        let wire = solenoid_of_wire_henry(&solenoid, &winding.conductor);
        Ok(vec![quick(wire), sheet])
    }

    fn resistance(&self, frequency_hz: f64) -> Result<Resistance, ModelError> {
        resistance(&self.winding, &self.wire, frequency_hz)
    }

    fn wire(&self) -> Result<Option<Length>, ModelError> {
        self.wire.length(self.winding.wire_length_m()?).map(Some)
    }

    fn own_farad(&self) -> Option<Result<Modelled, ModelError>> {
        self.wire.loss?;
        if self.is_single() {
            return Some(medhurst_farad(&self.solenoid()));
        }
        let pitch = self.winding.layer_pitch_m;
        Some(layered_farad(
            &self.winding,
            pitch,
            ENAMEL,
            LayerOrder::ThereAndBack,
        ))
    }

    fn section(&self) -> Result<Option<SectionCoil>, ModelError> {
        section(&self.winding)
    }

    fn notes(&self) -> Vec<&'static str> {
        if self.is_single() {
            vec![
                "As a current sheet, the gaps between round turns are left out; the accuracy that is stated is that of the sheet.",
            ]
        } else {
            Vec::new()
        }
    }
}
