//! What every shape answers.

use coilwright_coil::coupling::SectionCoil;
use coilwright_coil::{ModelError, Modelled};

/// A coil as its geometry.
pub(super) trait Coil {
    /// What it is called.
    fn subject(&self) -> String;

    /// Inductance at a frequency, henry.
    fn inductance(&self, frequency_hz: f64) -> Result<Modelled, ModelError>;

    /// Second formulas for the same.
    fn second(&self, _frequency_hz: f64) -> Result<Vec<Second>, ModelError> {
        Ok(Vec::new())
    }

    /// What is known of its resistance at a frequency.
    fn resistance(&self, frequency_hz: f64) -> Result<Resistance, ModelError>;

    /// Its wire, where that is known.
    fn wire(&self) -> Result<Option<Length>, ModelError>;

    /// Its own capacitance, farad, where there is a formula for the shape.
    fn own_farad(&self) -> Option<Result<Modelled, ModelError>> {
        None
    }

    /// Its section and turns, where it is round.
    fn section(&self) -> Result<Option<SectionCoil>, ModelError> {
        Ok(None)
    }

    /// What is worth knowing of its numbers.
    fn notes(&self) -> Vec<&'static str> {
        Vec::new()
    }
}

/// A second formula's answer.
pub(super) struct Second {
    pub(super) key: &'static str,
    pub(super) name: &'static str,
    pub(super) number: Result<Modelled, ModelError>,
}

/// Alternating resistance.
pub(super) enum Resistance {
    /// Ohm.
    Known(Modelled),
    /// Why there is none.
    Unknown(&'static str),
}

/// The wire's length and resistance to direct current.
pub(super) struct Length {
    pub(super) metres: f64,
    pub(super) direct_ohm: f64,
}

/// What is said of shapes of several turns whose own capacitance has no formula here.
pub(super) const NO_OWN: &str = "No self-capacitance: there is no formula here for this shape.";

/// Why square wire has no alternating resistance here.
pub(super) const SQUARE: Resistance =
    Resistance::Unknown("there is no formula here for the skin effect of square wire");
