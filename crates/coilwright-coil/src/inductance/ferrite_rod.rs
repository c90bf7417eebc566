//! Ferrite rod: how far demagnetisation leaves of its permeability.

use crate::model_error::{positive, within};
use crate::{Formula, ModelError, Modelled};

const OSBORN: Formula = Formula {
    name: "Osborn, demagnetising factor of a long spheroid",
    reference: "Osborn 1945, Phys. Rev. 67, 351 (from memory; limits checked)",
};

/// A ferrite rod.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct FerriteRod {
    /// Length, metres.
    pub length_m: f64,
    /// Diameter, metres.
    pub diameter_m: f64,
    /// Initial permeability of the ferrite.
    pub initial_permeability: f64,
}

/// Demagnetising factor along a prolate spheroid, from its length over its diameter m:
/// N = [m/√(m² − 1) · ln(m + √(m² − 1)) − 1]/(m² − 1); ⅓ for a sphere.
///
/// # Errors
///
/// If the ratio is not in 1 to 1000.
///
/// ```
/// let factor = coilwright_coil::inductance::demagnetising_factor(1.0)?;
/// assert!((factor - 1.0 / 3.0).abs() < 1e-6);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn demagnetising_factor(length_over_diameter: f64) -> Result<f64, ModelError> {
    let m = within(
        OSBORN.name,
        "length over diameter",
        length_over_diameter,
        1.0,
        1000.0,
    )?;
    let square = m * m - 1.0;
    if square < 1e-4 {
        // N = ⅓ − (2/15)(m² − 1) + …, where the closed form loses its digits.
        return Ok(1.0 / 3.0 - 2.0 / 15.0 * square);
    }
    let root = square.sqrt();
    Ok((m / root * (m + root).ln() - 1.0) / square)
}

/// Apparent permeability of a rod in an even field along it, `μ = μ_i/(1 + N (μ_i − 1))`: what it multiplies the area of a short coil at its middle
/// by, and so the voltage of a key's or a pickup's coil.
///
/// Accuracy 25 %: a rod is no spheroid, and the flux in it falls from the middle to its ends. The inductance of a coil on a rod rises by less, and by
/// an amount that depends on the coil's length and place; no model is given for it: measure it.
///
/// # Errors
///
/// If a size is not positive, the permeability below 1, or the length not in 2 to 100 diameters.
///
/// ```
/// use coilwright_coil::inductance::{FerriteRod, rod_permeability};
/// let rod = FerriteRod { length_m: 8e-3, diameter_m: 0.8e-3, initial_permeability: 400.0 };
/// let apparent = rod_permeability(&rod)?.value;
/// assert!(apparent > 40.0 && apparent < 50.0); // demagnetisation, not the ferrite, decides
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn rod_permeability(rod: &FerriteRod) -> Result<Modelled, ModelError> {
    let length = positive("length of the rod", rod.length_m, "m")?;
    let diameter = positive("diameter of the rod", rod.diameter_m, "m")?;
    let initial = within(
        OSBORN.name,
        "initial permeability",
        rod.initial_permeability,
        1.0,
        1e6,
    )?;
    let ratio = within(
        OSBORN.name,
        "length over diameter",
        length / diameter,
        2.0,
        100.0,
    )?;
    let value = initial / (1.0 + demagnetising_factor(ratio)? * (initial - 1.0));
    Ok(Modelled::new(value, 0.25, OSBORN))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_factor_has_its_known_values() {
        // Osborn's table, from memory: 0.0203 at 10; the two branches meet near the sphere.
        assert!((demagnetising_factor(10.0).unwrap_or(f64::NAN) - 0.0203).abs() < 5e-5);
        let (below, above) = (
            demagnetising_factor(1.000_04),
            demagnetising_factor(1.000_06),
        );
        let slope = (below.unwrap_or(f64::NAN) - above.unwrap_or(f64::NAN)) / 2e-5;
        assert!((slope - 4.0 / 15.0).abs() < 1e-3, "{slope}");
        assert!(demagnetising_factor(0.5).is_err());
    }
}
