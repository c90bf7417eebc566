//! Wire as loss sees it: solid or litz.

use super::skin::{skin_effect, transverse_loss_watt_per_metre};
use crate::ModelError;
use crate::model_error::{count, positive};
use std::f64::consts::PI;

/// A wire, solid or litz; sizes of bare metal.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Wire {
    /// One round conductor.
    Solid {
        /// Diameter, metres.
        diameter_m: f64,
    },
    /// Strands, each insulated and woven so that all carry the same current.
    Litz {
        /// Number of strands.
        strands: usize,
        /// Diameter of one strand, metres.
        strand_diameter_m: f64,
        /// Diameter of the bundle, metres.
        bundle_diameter_m: f64,
    },
}

/// More strands than litz wire for these frequencies has.
const MOST_STRANDS: usize = 100_000;

impl Wire {
    /// Cross section of metal, square metres.
    ///
    /// # Errors
    ///
    /// If a size is not positive, or the strands do not fit the bundle.
    pub fn metal_area_m2(&self) -> Result<f64, ModelError> {
        match *self {
            Self::Solid { diameter_m } => {
                let d = positive("diameter of the wire", diameter_m, "m")?;
                Ok(0.25 * PI * d * d)
            }
            Self::Litz {
                strands,
                strand_diameter_m,
                bundle_diameter_m,
            } => {
                let n = count("strands", strands, MOST_STRANDS)? as f64;
                let d = positive("diameter of a strand", strand_diameter_m, "m")?;
                let bundle = positive("diameter of the bundle", bundle_diameter_m, "m")?;
                // Equal circles fill at most π/√12 of any area.
                let least = d * (n * 12.0_f64.sqrt() / PI).sqrt();
                if n > 1.0 && bundle < least {
                    return Err(ModelError::NoRoom {
                        first: "the bundle",
                        second: "its strands",
                        found_m: bundle,
                        needed_m: least,
                    });
                }
                Ok(0.25 * PI * d * d * n)
            }
        }
    }

    /// Resistance of one metre to direct current, ohm.
    ///
    /// # Errors
    ///
    /// As [`Self::metal_area_m2`], and if the resistivity is not positive.
    pub fn direct_ohm_per_metre(&self, resistivity_ohm_m: f64) -> Result<f64, ModelError> {
        Ok(positive("resistivity", resistivity_ohm_m, "Ω m")? / self.metal_area_m2()?)
    }

    /// Resistance of one metre of straight wire far from others, over that of direct current: skin effect, and in litz what the bundle's
    /// own field costs its strands.
    ///
    /// In a bundle of diameter b the current I makes H(r) = 2Ir/(πb²), whose mean square is I²/(2π²b²); each strand loses
    /// by [`transverse_loss_watt_per_metre`] (Tourkhani and Viarouge 2001, IEEE Trans. Magn. 37, 538, from memory).
    ///
    /// # Errors
    ///
    /// As [`Self::metal_area_m2`] and [`skin_effect`].
    pub fn straight_ratio(
        &self,
        resistivity_ohm_m: f64,
        frequency_hz: f64,
    ) -> Result<f64, ModelError> {
        match *self {
            Self::Solid { diameter_m } => {
                Ok(skin_effect(diameter_m, resistivity_ohm_m, frequency_hz)?.resistance_ratio)
            }
            Self::Litz {
                strand_diameter_m,
                bundle_diameter_m,
                strands,
            } => {
                let direct = self.direct_ohm_per_metre(resistivity_ohm_m)?;
                let own = skin_effect(strand_diameter_m, resistivity_ohm_m, frequency_hz)?;
                let mean_square = if strands == 1 {
                    0.0
                } else {
                    0.5 / (PI * bundle_diameter_m).powi(2)
                };
                let across = self.field_loss_ohm_m(resistivity_ohm_m, frequency_hz)?;
                Ok(own.resistance_ratio + across * mean_square / direct)
            }
        }
    }

    /// Loss of one metre in a field across it over the square of the field's root-mean-square strength, watt per metre per
    /// (ampere per metre)²: for all strands together.
    ///
    /// # Errors
    ///
    /// As [`Self::metal_area_m2`] and [`transverse_loss_watt_per_metre`].
    pub fn field_loss_ohm_m(
        &self,
        resistivity_ohm_m: f64,
        frequency_hz: f64,
    ) -> Result<f64, ModelError> {
        self.metal_area_m2()?;
        match *self {
            Self::Solid { diameter_m } => {
                transverse_loss_watt_per_metre(diameter_m, resistivity_ohm_m, frequency_hz)
            }
            Self::Litz {
                strands,
                strand_diameter_m,
                ..
            } => Ok(strands as f64
                * transverse_loss_watt_per_metre(
                    strand_diameter_m,
                    resistivity_ohm_m,
                    frequency_hz,
                )?),
        }
    }

    /// Outer diameter of the metal, metres: the wire's or the bundle's.
    #[must_use]
    pub const fn outer_diameter_m(&self) -> f64 {
        match *self {
            Self::Solid { diameter_m } => diameter_m,
            Self::Litz {
                bundle_diameter_m, ..
            } => bundle_diameter_m,
        }
    }
}
