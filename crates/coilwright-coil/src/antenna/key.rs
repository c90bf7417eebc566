//! Field of a ring at a key, the voltage in the key's coil, and how far it is energised.

use crate::coupling::mutual_henry;
use crate::model_error::{finite, positive, within};
use crate::{MAGNETIC_CONSTANT, ModelError};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Flux density on the axis of a circular coil, tesla: μ₀ I N a²/(2 (a² + r²)^1.5), peak for a peak current.
///
/// # Errors
///
/// If a size is not positive or the distance not finite.
///
/// ```
/// let tesla = coilwright_coil::antenna::axial_field_tesla(0.1, 100.0 * 0.1, 0.1)?;
/// assert!((tesla - 22.214_41e-6).abs() < 1e-11);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn axial_field_tesla(
    radius_m: f64,
    ampere_turns: f64,
    distance_m: f64,
) -> Result<f64, ModelError> {
    let a = positive("radius of the coil", radius_m, "m")?;
    let ni = finite("ampere turns", ampere_turns, "A")?;
    let r = finite("distance", distance_m, "m")?;
    Ok(0.5 * MAGNETIC_CONSTANT * ni * a * a / (a * a + r * r).powf(1.5))
}

/// Ampere turns that make a flux density on the axis at a distance, ampere; the inverse of [`axial_field_tesla`].
///
/// # Errors
///
/// If a size is not positive or a number not finite.
pub fn ampere_turns_for(radius_m: f64, distance_m: f64, tesla: f64) -> Result<f64, ModelError> {
    let one = axial_field_tesla(radius_m, 1.0, distance_m)?;
    Ok(finite("flux density", tesla, "T")? / one)
}

/// Radius of the coil that needs the fewest ampere turns for a field at a distance on its axis, metres: √2 times the distance.
///
/// # Errors
///
/// If the distance is not positive.
pub fn best_radius_m(distance_m: f64) -> Result<f64, ModelError> {
    Ok(2.0_f64.sqrt() * positive("distance", distance_m, "m")?)
}

/// A key's tuned coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeyCoil {
    /// Turns.
    pub turns: f64,
    /// Mean area of a turn, square metres; with a ferrite rod, times its apparent permeability.
    pub area_m2: f64,
    /// Loaded Q at the carrier; 1 for a coil that is not tuned.
    pub q: f64,
}

/// Voltage of a key's tuned coil in an even field, volts: V = 2πf N S Q B cos α; peak for a peak field.
///
/// Holds at the key's resonance and without the chip's clamp, which limits it in practice.
///
/// # Errors
///
/// If a size is not positive or a number not finite.
///
/// ```
/// use coilwright_coil::antenna::{KeyCoil, key_volt};
/// let key = KeyCoil { turns: 300.0, area_m2: 10e-4, q: 20.0 };
/// assert!((key_volt(&key, 1e-6, 125e3, 0.0)? - 4.712_389).abs() < 1e-6);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn key_volt(
    key: &KeyCoil,
    field_tesla: f64,
    frequency_hz: f64,
    angle_rad: f64,
) -> Result<f64, ModelError> {
    let gain = volt_per_tesla(key, frequency_hz)?;
    let b = finite("flux density", field_tesla, "T")?;
    Ok(gain * b * finite("angle", angle_rad, "rad")?.cos())
}

/// Flux density that a key's tuned coil needs for a voltage, tesla; the inverse of [`key_volt`].
///
/// # Errors
///
/// If a size or the voltage is not positive, or the angle is not less than a right angle.
///
/// ```
/// use coilwright_coil::antenna::{KeyCoil, field_for_volt};
/// let tag = KeyCoil { turns: 100.0, area_m2: 38.71e-4, q: 15.0 };
/// let tesla = field_for_volt(&tag, 4.0 / 2.0_f64.sqrt(), 125e3, 0.0)?;
/// assert!((tesla - 0.6202e-6).abs() < 1e-10);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn field_for_volt(
    key: &KeyCoil,
    volt: f64,
    frequency_hz: f64,
    angle_rad: f64,
) -> Result<f64, ModelError> {
    let gain = volt_per_tesla(key, frequency_hz)?;
    let v = positive("voltage", volt, "V")?;
    let angle = finite("angle", angle_rad, "rad")?.abs();
    within(
        "induced voltage",
        "angle in radians",
        angle,
        0.0,
        FRAC_PI_2 * 0.999,
    )?;
    Ok(v / (gain * angle.cos()))
}

fn volt_per_tesla(key: &KeyCoil, frequency_hz: f64) -> Result<f64, ModelError> {
    let n = positive("turns of the key's coil", key.turns, "turns")?;
    let s = positive("area of the key's coil", key.area_m2, "m²")?;
    let q = positive("Q of the key's coil", key.q, "")?;
    Ok(TAU * positive("frequency", frequency_hz, "Hz")? * n * s * q)
}

/// Farthest distance on the axis at which a ring energises a key, metres.
///
/// From the axial field: r = √((μ₀ N I a²/(2B))^⅔ − a²). Zero if the field is too weak even in the ring's middle.
///
/// # Errors
///
/// If a size is not positive.
///
/// ```
/// use coilwright_coil::antenna::{axial_field_tesla, energising_range_m};
/// let needed = axial_field_tesla(0.02, 8.0, 0.05)?;
/// assert!((energising_range_m(0.02, 8.0, needed)? - 0.05).abs() < 1e-12);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn energising_range_m(
    radius_m: f64,
    ampere_turns: f64,
    needed_tesla: f64,
) -> Result<f64, ModelError> {
    let a = positive("radius of the coil", radius_m, "m")?;
    let ni = positive("ampere turns", ampere_turns, "A")?;
    let b = positive("flux density", needed_tesla, "T")?;
    let reach = (0.5 * MAGNETIC_CONSTANT * ni * a * a / b).powf(2.0 / 3.0);
    Ok((reach - a * a).max(0.0).sqrt())
}

/// Voltage in an untuned coaxial coil by the mutual inductance of circles, volts: ω M I, peak for a peak current.
///
/// Where the coil is not small against its distance, the axial field alone is wrong (by 5 % at a fifth of the ring's radius in its plane).
///
/// # Errors
///
/// If a size is not positive.
pub fn coaxial_volt(
    ring_radius_m: f64,
    ring_ampere_turns: f64,
    coil_radius_m: f64,
    coil_turns: f64,
    distance_m: f64,
    frequency_hz: f64,
) -> Result<f64, ModelError> {
    let a = positive("radius of the ring", ring_radius_m, "m")?;
    let b = positive("radius of the coil", coil_radius_m, "m")?;
    let n = positive("turns of the coil", coil_turns, "turns")?;
    let ni = positive("ampere turns", ring_ampere_turns, "A")?;
    let d = finite("distance", distance_m, "m")?;
    let f = positive("frequency", frequency_hz, "Hz")?;
    if (a - b).hypot(d) <= f64::EPSILON * (a + b) {
        return Err(ModelError::Touching { distance_m: 0.0 });
    }
    Ok(TAU * f * n * ni * mutual_henry(a, b, d))
}
