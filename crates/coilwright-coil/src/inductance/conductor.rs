//! Shape of a wire and how current spreads in it, as the geometric mean distance of its section from itself.

use super::mean_distance::rectangle_mean_distance_m;
use crate::ModelError;
use crate::model_error::{positive, within};

/// Bare section of a wire.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum WireShape {
    /// Round.
    Round {
        /// Diameter of the metal, metres.
        diameter_m: f64,
    },
    /// Square.
    Square {
        /// Side of the metal, metres.
        side_m: f64,
    },
}

/// Where in the wire the current flows.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum CurrentSpread {
    /// Evenly over the section: direct current, litz wire, wires thinner than the skin depth.
    #[default]
    Uniform,
    /// In a thin skin: wires much thicker than the skin depth.
    Surface,
    /// Between the two; round wire only.
    Partial {
        /// Internal inductance over that of direct current, 0 to 1 ([`crate::loss::skin_effect`] gives it).
        internal_ratio: f64,
    },
}

/// A wire as inductance sees it.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct Conductor {
    /// Section.
    pub shape: WireShape,
    /// Spread of the current.
    pub spread: CurrentSpread,
}

/// Radius of the round wire with the external field of a square one whose current flows in its skin, over the side:
/// Γ(¼)²/(4 π^1.5), the conformal radius of a square (Pólya and Szegő 1951, from memory).
const SQUARE_SKIN: f64 = 0.590_170_299_508_048_2;

impl Conductor {
    /// Round wire with evenly spread current.
    #[must_use]
    pub const fn round(diameter_m: f64) -> Self {
        Self {
            shape: WireShape::Round { diameter_m },
            spread: CurrentSpread::Uniform,
        }
    }

    /// Diameter or side, metres.
    #[must_use]
    pub const fn width_m(&self) -> f64 {
        match self.shape {
            WireShape::Round { diameter_m } => diameter_m,
            WireShape::Square { side_m } => side_m,
        }
    }

    /// Geometric mean distance of the section from itself, metres: r e^(−¼) for a round wire with uniform current, r with surface
    /// current, 0.44705 and 0.59017 of the side for a square (Rosa and Grover, NBS S169, 1912, from memory).
    ///
    /// # Errors
    ///
    /// If the size is not positive, or the spread is partial and its ratio not in 0 to 1 or the wire not round.
    pub fn mean_distance_m(&self) -> Result<f64, ModelError> {
        let width = positive("width of the wire", self.width_m(), "m")?;
        match (self.shape, self.spread) {
            (WireShape::Round { .. }, CurrentSpread::Uniform) => {
                Ok(0.5 * width * (-0.25_f64).exp())
            }
            (WireShape::Round { .. }, CurrentSpread::Surface) => Ok(0.5 * width),
            (WireShape::Round { .. }, CurrentSpread::Partial { internal_ratio }) => {
                let ratio = within(
                    "partial skin effect",
                    "internal ratio",
                    internal_ratio,
                    0.0,
                    1.0,
                )?;
                Ok(0.5 * width * (-0.25 * ratio).exp())
            }
            (WireShape::Square { .. }, CurrentSpread::Uniform) => {
                Ok(rectangle_mean_distance_m(width, width))
            }
            (WireShape::Square { .. }, CurrentSpread::Surface) => Ok(SQUARE_SKIN * width),
            (WireShape::Square { .. }, CurrentSpread::Partial { internal_ratio }) => {
                Err(ModelError::OutsideValidity {
                    formula: "partial skin effect of a square wire",
                    quantity: "internal ratio",
                    found: internal_ratio,
                    low: 0.0,
                    high: 0.0,
                })
            }
        }
    }
}
