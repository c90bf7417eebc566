//! Flat spirals: Mohan's current-sheet approximation for four outlines.

use crate::model_error::{positive, within};
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};

const MOHAN: Formula = Formula {
    name: "Mohan, current sheet",
    reference: "Mohan, del Mar Hershenson, Boyd and Lee 1999, IEEE J. Solid-State Circuits 34, 1419, eq. 7 and table II (from memory)",
};

/// Outline of a flat spiral.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SpiralOutline {
    /// Square; diameters are sides.
    Square,
    /// Hexagon; diameters between flats.
    Hexagon,
    /// Octagon; diameters between flats.
    Octagon,
    /// Circle.
    Circle,
}

/// A flat spiral.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct FlatSpiral {
    /// Outline.
    pub outline: SpiralOutline,
    /// Inner diameter, metres.
    pub inner_diameter_m: f64,
    /// Outer diameter, metres.
    pub outer_diameter_m: f64,
    /// Turns.
    pub turns: f64,
}

/// Inductance of a flat spiral, henry: μ₀ N² d c₁/2 [ln(c₂/ρ) + c₃ ρ + c₄ ρ²], d the mean diameter, `ρ = (D − d_i)/(D + d_i)`.
///
/// Accuracy 3 % where turns fill the spiral with gaps not wider than the tracks (as its authors state 8 % for gaps of three tracks);
/// valid for a fill ρ of 0.03 to 1.
///
/// # Errors
///
/// If a size is not positive, the inner diameter not the smaller, or the fill too small.
pub fn flat_spiral_henry(spiral: &FlatSpiral) -> Result<Modelled, ModelError> {
    let inner = positive("inner diameter of the spiral", spiral.inner_diameter_m, "m")?;
    let outer = positive("outer diameter of the spiral", spiral.outer_diameter_m, "m")?;
    let n = positive("turns of the spiral", spiral.turns, "turns")?;
    let fill = within(
        MOHAN.name,
        "fill, (outer − inner)/(outer + inner)",
        (outer - inner) / (outer + inner),
        0.03,
        1.0,
    )?;
    let (c1, c2, c3, c4) = match spiral.outline {
        SpiralOutline::Square => (1.27, 2.07, 0.18, 0.13),
        SpiralOutline::Hexagon => (1.09, 2.23, 0.0, 0.17),
        SpiralOutline::Octagon => (1.07, 2.29, 0.0, 0.19),
        SpiralOutline::Circle => (1.00, 2.46, 0.0, 0.20),
    };
    let shape = (c2 / fill).ln() + c3 * fill + c4 * fill * fill;
    let value = 0.25 * MAGNETIC_CONSTANT * n * n * (inner + outer) * c1 * shape;
    Ok(Modelled::new(value, 0.03, MOHAN))
}
