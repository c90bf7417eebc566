//! Single-layer solenoid as a current sheet: Lorenz's exact formula and Nagaoka's coefficient.

use crate::model_error::{positive, within};
use crate::special::elliptic;
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};
use std::f64::consts::PI;

const LORENZ: Formula = Formula {
    name: "Lorenz, cylindrical current sheet",
    reference: "Lorenz 1879; Nagaoka 1909, J. Coll. Sci. Tokyo 27 art. 6 (second hand)",
};
/// Beyond this ratio of diameter to length the sheet is a ring and the difference of the integrals loses digits.
const MOST_DIAMETER_OVER_LENGTH: f64 = 1000.0;

/// A single-layer solenoid.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct Solenoid {
    /// Diameter between the centres of the wire, metres.
    pub diameter_m: f64,
    /// Length of the winding, metres: turns times pitch, so that half a pitch stands over at each end.
    pub length_m: f64,
    /// Turns.
    pub turns: f64,
}

impl Solenoid {
    /// Diameter over length, after checking that every size is positive.
    pub(super) fn diameter_over_length(&self) -> Result<f64, ModelError> {
        positive("turns of the solenoid", self.turns, "turns")?;
        Ok(positive("diameter of the solenoid", self.diameter_m, "m")?
            / positive("length of the solenoid", self.length_m, "m")?)
    }
}

/// Nagaoka's coefficient K of a solenoid, 1 for an endless one, from its diameter over its length.
///
/// With x = D/l, k² = x²/(1 + x²), k'² = 1/(1 + x²): K = 4/(3πk') [(k'²/k²)(K(k) − E(k)) + E(k) − k]. Accuracy 1e-9.
///
/// # Errors
///
/// If the ratio is not in 0 to 1000.
///
/// ```
/// let k = coilwright_coil::inductance::nagaoka_coefficient(1.0)?;
/// assert!((k - 0.688_422_61).abs() < 5e-9);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn nagaoka_coefficient(diameter_over_length: f64) -> Result<f64, ModelError> {
    let x = within(
        LORENZ.name,
        "diameter over length",
        diameter_over_length,
        0.0,
        MOST_DIAMETER_OVER_LENGTH,
    )?;
    let complement = 1.0 / x.mul_add(x, 1.0);
    let k = x * complement.sqrt();
    let e = elliptic(complement);
    Ok(4.0 / (3.0 * PI * complement.sqrt()) * (complement * e.d + e.second - k))
}

/// Inductance of a solenoid as a current sheet, henry: L = μ₀ π D² N² K/(4 l), K Nagaoka's coefficient.
///
/// Exact for a sheet; a winding of round wire differs by Rosa's correction ([`super::solenoid_of_wire_henry`]), usually by less than
/// 2 % for 20 turns and more, which is the accuracy stated.
///
/// # Errors
///
/// If a size is not positive, or the diameter is more than 1000 lengths.
///
/// ```
/// use coilwright_coil::inductance::{Solenoid, current_sheet_henry};
/// let coil = Solenoid { diameter_m: 0.1, length_m: 0.1, turns: 100.0 };
/// assert!((current_sheet_henry(&coil)?.value - 679.445_880e-6).abs() < 1e-12);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn current_sheet_henry(solenoid: &Solenoid) -> Result<Modelled, ModelError> {
    let k = nagaoka_coefficient(solenoid.diameter_over_length()?)?;
    let area = 0.25 * PI * solenoid.diameter_m * solenoid.diameter_m;
    let value = MAGNETIC_CONSTANT * area * solenoid.turns * solenoid.turns / solenoid.length_m * k;
    // A single turn of wire in a wide pitch differs by about half; the difference falls as 1/N (Rosa).
    let accuracy = (0.4 / solenoid.turns).clamp(1e-3, 0.5);
    Ok(Modelled::new(value, accuracy, LORENZ))
}
