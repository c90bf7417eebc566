//! Wheeler's formulas, in SI units.

use super::{Section, Solenoid};
use crate::model_error::{positive, within};
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};
use std::f64::consts::PI;

const SOLENOID_1928: Formula = Formula {
    name: "Wheeler 1928, solenoid",
    reference: "Wheeler 1928, Proc. IRE 16, 1398 (second hand)",
};
const SOLENOID_1982: Formula = Formula {
    name: "Wheeler 1982, solenoid",
    reference: "Wheeler 1982, Proc. IEEE 70, 1449 (from memory)",
};
const MULTILAYER_1928: Formula = Formula {
    name: "Wheeler 1928, multilayer coil",
    reference: "Wheeler 1928, Proc. IRE 16, 1398 (second hand)",
};
const SPIRAL_1928: Formula = Formula {
    name: "Wheeler 1928, flat spiral",
    reference: "Wheeler 1928, Proc. IRE 16, 1398 (from memory)",
};

/// Wheeler's formulas of 1928 give microhenry from inches.
const MICROHENRY_PER_INCH: f64 = 1e-6 / 0.0254;

/// Wheeler's formula of 1928 for a solenoid, henry: r² N²/(9 r + 10 l) microhenry and inches.
///
/// Accuracy 1 %, valid for a length of at least 0.8 radii.
///
/// # Errors
///
/// If a size is not positive or the coil too short.
pub fn wheeler_solenoid_1928_henry(solenoid: &Solenoid) -> Result<Modelled, ModelError> {
    let ratio = 2.0 / solenoid.diameter_over_length()?;
    within(
        SOLENOID_1928.name,
        "length over radius",
        ratio,
        0.8,
        f64::MAX,
    )?;
    let (r, l, n) = (0.5 * solenoid.diameter_m, solenoid.length_m, solenoid.turns);
    let value = r * r * n * n / (9.0 * r + 10.0 * l) * MICROHENRY_PER_INCH;
    Ok(Modelled::new(value, 0.01, SOLENOID_1928))
}

/// Wheeler's continuous formula of 1982 for a solenoid, henry:
/// μ₀ N² a [ln(1 + π a/b) + 1/(2.3 + 1.6 b/a + 0.44 (b/a)²)], a radius, b length.
///
/// Accuracy 0.1 % for every shape, as a current sheet; wire has some tenths of a per cent to some per cent less:
/// [`wheeler_solenoid_of_wire_henry`](super::wheeler_solenoid_of_wire_henry).
///
/// # Errors
///
/// If a size is not positive.
///
/// ```
/// use coilwright_coil::inductance::{Solenoid, current_sheet_henry, wheeler_solenoid_1982_henry};
/// let coil = Solenoid { diameter_m: 0.036, length_m: 0.010, turns: 80.0 };
/// let (near, exact) = (wheeler_solenoid_1982_henry(&coil)?.value, current_sheet_henry(&coil)?.value);
/// assert!((near / exact - 1.0).abs() < 1e-3);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn wheeler_solenoid_1982_henry(solenoid: &Solenoid) -> Result<Modelled, ModelError> {
    let ratio = 2.0 / solenoid.diameter_over_length()?;
    let end = 2.3 + 1.6 * ratio + 0.44 * ratio * ratio;
    let shape = (PI / ratio).ln_1p() + end.recip();
    let value =
        MAGNETIC_CONSTANT * solenoid.turns * solenoid.turns * 0.5 * solenoid.diameter_m * shape;
    Ok(Modelled::new(value, 0.001, SOLENOID_1982))
}

/// Wheeler's formula of 1928 for a multilayer coil, henry: 0.8 a² N²/(6 a + 9 b + 10 c) microhenry and inches, a mean radius, b
/// length, c depth.
///
/// Accuracy 2 % where the three terms are within a factor of 1.5 (its author: 1 % for equal ones), 10 % for terms within a factor of
/// eight (found against the exact section: `docs/coil-models.md`).
///
/// # Errors
///
/// If a size is not positive or one term is more than eight times another.
pub fn wheeler_multilayer_1928_henry(
    section: &Section,
    turns: f64,
) -> Result<Modelled, ModelError> {
    let a = positive("mean radius of the coil", section.mean_radius_m, "m")?;
    let b = positive("length of the coil", section.axial_length_m, "m")?;
    let c = positive("depth of the winding", section.radial_depth_m, "m")?;
    let n = positive("turns of the coil", turns, "turns")?;
    let terms = [6.0 * a, 9.0 * b, 10.0 * c];
    let (most, least) = (
        terms.iter().copied().fold(0.0, f64::max),
        terms.iter().copied().fold(f64::MAX, f64::min),
    );
    let spread = within(
        MULTILAYER_1928.name,
        "largest over least of 6a, 9b and 10c",
        most / least,
        1.0,
        8.0,
    )?;
    let value = 0.8 * a * a * n * n / terms.iter().sum::<f64>() * MICROHENRY_PER_INCH;
    let accuracy = if spread <= 1.5 { 0.02 } else { 0.1 };
    Ok(Modelled::new(value, accuracy, MULTILAYER_1928))
}

/// Wheeler's formula of 1928 for a flat spiral, henry: a² N²/(8 a + 11 c) microhenry and inches, a mean radius, c depth.
///
/// Accuracy 5 %, valid for a depth of at least 0.2 mean radii.
///
/// # Errors
///
/// If a size is not positive or the depth outside 0.2 to 2 mean radii.
pub fn wheeler_spiral_1928_henry(
    mean_radius_m: f64,
    radial_depth_m: f64,
    turns: f64,
) -> Result<Modelled, ModelError> {
    let a = positive("mean radius of the spiral", mean_radius_m, "m")?;
    let c = positive("depth of the spiral", radial_depth_m, "m")?;
    let n = positive("turns of the spiral", turns, "turns")?;
    within(SPIRAL_1928.name, "depth over mean radius", c / a, 0.2, 2.0)?;
    let value = a * a * n * n / (8.0 * a + 11.0 * c) * MICROHENRY_PER_INCH;
    Ok(Modelled::new(value, 0.05, SPIRAL_1928))
}
