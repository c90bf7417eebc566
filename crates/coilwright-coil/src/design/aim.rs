use crate::ModelError;
use crate::coupling::{Placement, SectionCoil};
use crate::loss::{Metal, Wire};
use crate::model_error::{positive, within};

/// A wire on the shelf.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct ShelfWire {
    /// Bare metal.
    pub wire: Wire,
    /// Diameter over the insulation, metres: the least distance of two turns.
    pub insulated_diameter_m: f64,
}

/// Room that a coil may take.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct Room {
    /// Radius of the former, metres.
    pub former_radius_m: f64,
    /// Largest outer radius, metres.
    pub most_radius_m: f64,
    /// Largest length of the winding, metres.
    pub most_length_m: f64,
}

/// The coil that a design is to couple with.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct Partner {
    /// The other coil.
    pub coil: SectionCoil,
    /// Where it lies, seen from the design.
    pub placement: Placement,
}

/// What a coil is to be.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct Aim {
    /// Frequency at which resistance and Q count, hertz.
    pub frequency_hz: f64,
    /// Inductance, henry.
    pub inductance_henry: f64,
    /// Largest relative deviation from it.
    pub inductance_tolerance: f64,
    /// Least and largest Q of the coil alone at the frequency; the largest may be infinite.
    pub q: (f64, f64),
    /// What it is to couple with, and the least coupling coefficient (its size).
    pub partner: Option<(Partner, f64)>,
    /// Metal of the wire.
    pub metal: Metal,
    /// Temperature, degrees Celsius.
    pub temperature_c: f64,
}

impl Room {
    pub(super) fn checked(&self) -> Result<(), ModelError> {
        let inner = positive("radius of the former", self.former_radius_m, "m")?;
        positive("length of the room", self.most_length_m, "m")?;
        let outer = positive("outer radius of the room", self.most_radius_m, "m")?;
        if outer <= inner {
            return Err(ModelError::NoRoom {
                first: "the outer radius",
                second: "the former",
                found_m: outer,
                needed_m: inner,
            });
        }
        Ok(())
    }
}

impl Aim {
    pub(super) fn checked(&self) -> Result<(), ModelError> {
        positive("frequency", self.frequency_hz, "Hz")?;
        positive("inductance", self.inductance_henry, "H")?;
        let tolerance = self.inductance_tolerance;
        within(
            "design",
            "tolerance of the inductance",
            tolerance,
            1e-4,
            0.5,
        )?;
        within("design", "least Q", self.q.0, 0.0, f64::MAX)?;
        if self.q.1 >= self.q.0 {
            return Ok(());
        }
        Err(ModelError::LimitsCrossed {
            quantity: "Q",
            low: self.q.0,
            high: self.q.1,
        })
    }
}
