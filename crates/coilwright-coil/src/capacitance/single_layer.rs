//! Self-capacitance of a single-layer coil: Medhurst.

use crate::inductance::Solenoid;
use crate::{Formula, ModelError, Modelled};

const MEDHURST: Formula = Formula {
    name: "Medhurst, single-layer coil with one end earthed",
    reference: "Medhurst 1947, Wireless Engineer 24, 35 and 80 (rows l/D 1 to 5 second hand, the others from memory)",
};

/// Length over diameter and capacitance over diameter, picofarad per centimetre.
const TABLE: [(f64, f64); 33] = [
    (0.1, 0.96),
    (0.15, 0.79),
    (0.2, 0.70),
    (0.25, 0.64),
    (0.3, 0.60),
    (0.35, 0.57),
    (0.4, 0.54),
    (0.45, 0.52),
    (0.5, 0.50),
    (0.6, 0.48),
    (0.7, 0.47),
    (0.8, 0.46),
    (0.9, 0.46),
    (1.0, 0.46),
    (1.5, 0.47),
    (2.0, 0.50),
    (2.5, 0.56),
    (3.0, 0.61),
    (3.5, 0.67),
    (4.0, 0.72),
    (4.5, 0.77),
    (5.0, 0.81),
    (6.0, 0.92),
    (7.0, 1.01),
    (8.0, 1.12),
    (9.0, 1.22),
    (10.0, 1.32),
    (15.0, 1.86),
    (20.0, 2.36),
    (25.0, 2.90),
    (30.0, 3.40),
    (40.0, 4.60),
    (50.0, 5.80),
];

/// Self-capacitance of a single-layer coil with one end earthed, farad: C = H D, H from Medhurst's table by its length over diameter,
/// interpolated linearly.
///
/// Accuracy 5 % (as its author states) for a coil on thin or no former with air around; formers and insulation add. Valid for a length of 0.1 to 50
/// diameters.
///
/// # Errors
///
/// If a size is not positive or the shape outside the table.
///
/// ```
/// use coilwright_coil::{capacitance::medhurst_farad, inductance::Solenoid};
/// let coil = Solenoid { diameter_m: 0.05, length_m: 0.05, turns: 80.0 };
/// assert!((medhurst_farad(&coil)?.value - 2.3e-12).abs() < 1e-15);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn medhurst_farad(solenoid: &Solenoid) -> Result<Modelled, ModelError> {
    let diameter =
        crate::model_error::positive("diameter of the solenoid", solenoid.diameter_m, "m")?;
    let length = crate::model_error::positive("length of the solenoid", solenoid.length_m, "m")?;
    let (first, last) = (TABLE[0], TABLE[TABLE.len() - 1]);
    let shape = crate::model_error::within(
        MEDHURST.name,
        "length over diameter",
        length / diameter,
        first.0,
        last.0,
    )?;
    let h = TABLE
        .windows(2)
        .find(|pair| shape <= pair[1].0)
        .map_or(last.1, |pair| {
            let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
            y0 + (y1 - y0) * (shape - x0) / (x1 - x0)
        });
    // 1 pF/cm = 1e-10 F/m.
    Ok(Modelled::new(h * diameter * 1e-10, 0.05, MEDHURST))
}
