//! Skin effect of a straight round wire, and what a field across it costs.

use crate::model_error::positive;
use crate::special::bessel_ratio;
use crate::{MAGNETIC_CONSTANT, ModelError};
use num_complex::Complex64;
use std::f64::consts::{FRAC_PI_4, PI, TAU};

/// Skin effect of a round wire by itself.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct SkinEffect {
    /// Resistance over that of direct current, 1 and more.
    pub resistance_ratio: f64,
    /// Internal inductance over that of direct current, 0 to 1.
    pub internal_inductance_ratio: f64,
    /// Depth at which the current of a flat conductor falls to 1/e, metres.
    pub skin_depth_m: f64,
}

/// Depth at which the current of a flat conductor falls to 1/e, metres: δ = √(2ρ/(ωμ₀)).
///
/// # Errors
///
/// If a value is not positive.
///
/// ```
/// let depth_m = coilwright_coil::loss::skin_depth_m(1.7241e-8, 125e3)?;
/// assert!((depth_m - 0.186_916e-3).abs() < 1e-9);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn skin_depth_m(resistivity_ohm_m: f64, frequency_hz: f64) -> Result<f64, ModelError> {
    let rho = positive("resistivity", resistivity_ohm_m, "Ω m")?;
    let f = positive("frequency", frequency_hz, "Hz")?;
    Ok((2.0 * rho / (TAU * f * MAGNETIC_CONSTANT)).sqrt())
}

/// The wire's z = k a with k² = −jωμ₀/ρ, so z = x e^(−jπ/4), x = a √(ωμ₀/ρ) = √2 a/δ.
fn argument(diameter_m: f64, depth_m: f64) -> Complex64 {
    Complex64::from_polar(diameter_m / (2.0_f64.sqrt() * depth_m), -FRAC_PI_4)
}

/// Skin effect of a straight round wire far from others.
///
/// Z/R₀ = z J₀(z)/(2 J₁(z)), z = a √(−jωμ₀/ρ); the imaginary part is ω times the internal inductance, which is μ₀/8π per metre at direct current
/// (NBS Circular 74, 1924, p. 309, from memory). Exact for a straight wire of non-magnetic metal.
///
/// # Errors
///
/// If a value is not positive, or the wire is thicker than 1000 skin depths.
///
/// ```
/// // 10 gauge at 125 kHz
/// let skin = coilwright_coil::loss::skin_effect(2.58819e-3, 1.7241e-8, 125e3)?;
/// assert!((skin.resistance_ratio - 3.725_0).abs() < 1e-4);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn skin_effect(
    diameter_m: f64,
    resistivity_ohm_m: f64,
    frequency_hz: f64,
) -> Result<SkinEffect, ModelError> {
    let depth = skin_depth_m(resistivity_ohm_m, frequency_hz)?;
    let z = checked_argument(diameter_m, depth)?;
    let impedance = 0.5 * z / bessel_ratio(z);
    // Z/R₀ = R/R₀ + jωL_i/R₀, and ωL_i0/R₀ = ωμ₀a²/8ρ = |z|²/8.
    Ok(SkinEffect {
        resistance_ratio: impedance.re,
        internal_inductance_ratio: impedance.im * 8.0 / z.norm_sqr(),
        skin_depth_m: depth,
    })
}

/// Loss of a straight round wire in an alternating field across it, watt per metre for each (ampere per metre)² of root-mean-square field.
///
/// With the field's vector potential A = C J₁(kr) sin φ inside and μ₀(H₀ r + D/r) sin φ outside, C = 2μ₀H₀/(k J₀(ka)), and the flow of power through
/// the surface is `P' = 4π a² ω μ₀ H_rms² Re[j J₁(z)/(z J₀(z))]` (derived here; the transverse term of Ferreira 1994, IEEE Trans. Power
/// Electronics 9, 127). Thin wires: `P' = π d⁴ ω² B_rms²/(64 ρ)`.
///
/// # Errors
///
/// If a value is not positive, or the wire is thicker than 1000 skin depths.
pub fn transverse_loss_watt_per_metre(
    diameter_m: f64,
    resistivity_ohm_m: f64,
    frequency_hz: f64,
) -> Result<f64, ModelError> {
    let depth = skin_depth_m(resistivity_ohm_m, frequency_hz)?;
    let z = checked_argument(diameter_m, depth)?;
    let share = (Complex64::i() * bessel_ratio(z) / z).re;
    Ok(PI * diameter_m * diameter_m * TAU * frequency_hz * MAGNETIC_CONSTANT * share)
}

fn checked_argument(diameter_m: f64, depth_m: f64) -> Result<Complex64, ModelError> {
    let d = positive("diameter of the wire", diameter_m, "m")?;
    crate::model_error::within(
        "skin effect",
        "diameter over skin depth",
        d / depth_m,
        0.0,
        1000.0,
    )?;
    Ok(argument(d, depth_m))
}
