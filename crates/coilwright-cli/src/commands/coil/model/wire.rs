//! Wire from what is known of it.

use coilwright_coil::ModelError;
use coilwright_coil::inductance::{Conductor, CurrentSpread, WireShape};
use coilwright_coil::loss::{ALUMINIUM, COPPER, Wire, awg_diameter_m, skin_effect};

use super::coil::Length;
use crate::coil_args::{MetalArg, WireArgs, WireMakeArgs};
use crate::output::number::quantity;

/// Diameter of a litz bundle over its strand's and the root of their number: 1.155 for the weave, 1.1 for the enamel (common practice,
/// no source).
const BUNDLE: f64 = 1.27;

/// A wire at its temperature.
pub(super) struct Wired {
    shape: WireShape,
    /// As loss sees it; square wire has none.
    pub(super) loss: Option<Wire>,
    pub(super) resistivity_ohm_m: f64,
    /// In words.
    pub(super) described: String,
}

impl Wired {
    /// The wire, where its size is given.
    pub(super) fn of(arguments: &WireArgs) -> Result<Option<Self>, ModelError> {
        let make = &arguments.make;
        let resistivity_ohm_m = match make.metal {
            MetalArg::Copper => COPPER,
            MetalArg::Aluminium => ALUMINIUM,
        }
        .resistivity_ohm_m(make.temperature)?;
        let size = &arguments.size;
        let described = |what: String| format!("{what} at {} °C", make.temperature);
        if let Some(side_m) = size.square {
            return Ok(Some(Self {
                shape: WireShape::Square { side_m },
                loss: None,
                resistivity_ohm_m,
                described: described(format!(
                    "square {} wire of {}",
                    metal(make),
                    quantity(side_m, "m")
                )),
            }));
        }
        let diameter_m = match (size.wire, size.gauge) {
            (Some(diameter_m), _) => diameter_m,
            (None, Some(gauge)) => awg_diameter_m(gauge)?,
            (None, None) => return Ok(None),
        };
        let loss = loss(diameter_m, make);
        // Strands that do not fit their bundle are refused here.
        loss.metal_area_m2()?;
        let thick = quantity(diameter_m, "m");
        let what = match make.strands {
            Some(strands) => format!("{} litz of {strands} × {thick}", metal(make)),
            None => format!("{} wire of {thick}", metal(make)),
        };
        Ok(Some(Self {
            shape: WireShape::Round {
                diameter_m: loss.outer_diameter_m(),
            },
            loss: Some(loss),
            resistivity_ohm_m,
            described: described(what),
        }))
    }

    /// As inductance sees it at a frequency: solid round wire by its skin effect, litz and square wire with even current.
    pub(super) fn conductor(&self, frequency_hz: f64) -> Result<Conductor, ModelError> {
        let spread = match self.loss {
            Some(Wire::Solid { diameter_m }) => CurrentSpread::Partial {
                internal_ratio: skin_effect(diameter_m, self.resistivity_ohm_m, frequency_hz)?
                    .internal_inductance_ratio
                    .min(1.0),
            },
            _ => CurrentSpread::Uniform,
        };
        Ok(Conductor {
            shape: self.shape,
            spread,
        })
    }

    /// Diameter or side of the metal, metres.
    pub(super) fn width_m(&self) -> f64 {
        match self.shape {
            WireShape::Round { diameter_m } => diameter_m,
            WireShape::Square { side_m } => side_m,
        }
    }

    /// A length of it.
    pub(super) fn length(&self, metres: f64) -> Result<Length, ModelError> {
        let per_metre = match self.loss {
            Some(wire) => wire.direct_ohm_per_metre(self.resistivity_ohm_m)?,
            None => self.resistivity_ohm_m / self.width_m().powi(2),
        };
        Ok(Length {
            metres,
            direct_ohm: per_metre * metres,
        })
    }
}

const fn metal(make: &WireMakeArgs) -> &'static str {
    match make.metal {
        MetalArg::Copper => "copper",
        MetalArg::Aluminium => "aluminium",
    }
}

fn loss(diameter_m: f64, make: &WireMakeArgs) -> Wire {
    let Some(strands) = make.strands else {
        return Wire::Solid { diameter_m };
    };
    let usual = match strands {
        0 | 1 => diameter_m,
        several => BUNDLE * diameter_m * (several as f64).sqrt(),
    };
    Wire::Litz {
        strands,
        strand_diameter_m: diameter_m,
        bundle_diameter_m: make.bundle.unwrap_or(usual),
    }
}
