//! Dowell's formula: layers of wire in the window of a core.

use crate::model_error::{count, positive, within};
use crate::{Formula, ModelError, Modelled};

const DOWELL: Formula = Formula {
    name: "Dowell, layers in a core's window",
    reference: "Dowell 1966, Proc. IEE 113, 1387, eq. 10, in hyperbolic form (from memory)",
};

/// Layers of round wire in the window of a core, the field along them rising from nothing at one side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindowLayers {
    /// Layers from where the field is zero.
    pub layers: usize,
    /// Diameter of the bare wire, metres.
    pub wire_diameter_m: f64,
    /// Distance of the turns in a layer from centre to centre, metres.
    pub pitch_m: f64,
}

/// Alternating over direct resistance of layers in a core's window.
///
/// Round wire becomes a foil of thickness d√π/2 and fill η = d√π/(2p); with Δ = √η · d√π/(2δ):
/// F = Δ [ (sinh 2Δ + sin 2Δ)/(cosh 2Δ − cos 2Δ) + ⅔ (m² − 1) (sinh Δ − sin Δ)/(cosh Δ + cos Δ) ].
/// Accuracy 15 % with a fill of at least 0.7 (the field must run along the layers); outside a core use [`super::winding_resistance`].
///
/// # Errors
///
/// If a size is not positive, the fill below 0.7, or the wire thicker than the pitch or 10 skin depths.
///
/// ```
/// use coilwright_coil::loss::{WindowLayers, dowell_ratio, skin_depth_m};
/// let layers = WindowLayers { layers: 4, wire_diameter_m: 0.2e-3, pitch_m: 0.23e-3 };
/// let ratio = dowell_ratio(&layers, skin_depth_m(1.7241e-8, 125e3)?)?;
/// assert!(ratio.value > 1.5 && ratio.value < 2.5);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn dowell_ratio(window: &WindowLayers, skin_depth_m: f64) -> Result<Modelled, ModelError> {
    let m = count("layers", window.layers, 1000)? as f64;
    let d = positive("diameter of the wire", window.wire_diameter_m, "m")?;
    let pitch = positive("pitch", window.pitch_m, "m")?;
    let depth = positive("skin depth", skin_depth_m, "m")?;
    within(DOWELL.name, "wire over pitch", d / pitch, 0.0, 1.0)?;
    let foil = 0.5 * d * std::f64::consts::PI.sqrt();
    let fill = within(DOWELL.name, "fill of a layer", foil / pitch, 0.7, 1.0)?;
    let delta = within(
        DOWELL.name,
        "foil over skin depth",
        fill.sqrt() * foil / depth,
        1e-3,
        10.0,
    )?;
    let own =
        ((2.0 * delta).sinh() + (2.0 * delta).sin()) / ((2.0 * delta).cosh() - (2.0 * delta).cos());
    let others = (delta.sinh() - delta.sin()) / (delta.cosh() + delta.cos());
    let ratio = delta * (own + 2.0 / 3.0 * (m * m - 1.0) * others);
    Ok(Modelled::new(ratio, 0.15, DOWELL))
}
