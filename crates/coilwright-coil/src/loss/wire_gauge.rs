//! American wire gauge (ASTM B258).

use crate::ModelError;

/// Diameter of a solid wire of an American wire gauge, metres: 0.005 inch · 92^((36 − n)/39) (ASTM B258, from memory; agrees with
/// NBS Handbook 100 to its printed digits, second hand). Gauges 00, 000 and 0000 are −1, −2 and −3.
///
/// # Errors
///
/// If the gauge is outside −3 to 56.
///
/// ```
/// let diameter_m = coilwright_coil::loss::awg_diameter_m(36)?;
/// assert!((diameter_m - 0.127e-3).abs() < 1e-12);
/// assert!(coilwright_coil::loss::awg_diameter_m(60).is_err());
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn awg_diameter_m(gauge: i32) -> Result<f64, ModelError> {
    let gauge = f64::from(gauge);
    crate::model_error::within("American wire gauge", "gauge", gauge, -3.0, 56.0)?;
    Ok(0.005 * 0.0254 * 92.0_f64.powf((36.0 - gauge) / 39.0))
}

/// The gauge whose wire comes nearest to a diameter, by ratio.
///
/// # Errors
///
/// If the diameter lies outside gauges −3 to 56.
pub fn nearest_awg(diameter_m: f64) -> Result<i32, ModelError> {
    let diameter = crate::model_error::positive("diameter of the wire", diameter_m, "m")?;
    let gauge = 36.0 - 39.0 * (diameter / (0.005 * 0.0254)).ln() / 92.0_f64.ln();
    let rounded = gauge.round().clamp(-1000.0, 1000.0) as i32;
    awg_diameter_m(rounded).map(|_| rounded)
}
