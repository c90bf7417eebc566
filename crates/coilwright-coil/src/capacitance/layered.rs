//! Self-capacitance of a layered coil, from the field between neighbouring layers.

use crate::inductance::LayerWinding;
use crate::model_error::within;
use crate::special::GaussLegendre;
use crate::{ELECTRIC_CONSTANT, Formula, ModelError, Modelled};
use std::f64::consts::TAU;

const LAYERED: Formula = Formula {
    name: "energy between layers, straight field lines between facing wires",
    reference: "Koch 1968; Snelling 1988, Soft Ferrites, ch. 11 (from memory; the integral derived here)",
};

/// How layers follow each other.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LayerOrder {
    /// There and back: each layer starts where the last one ended.
    #[default]
    ThereAndBack,
    /// Each layer starts at the same side.
    SameSide,
}

/// Self-capacitance of a layered winding of round wire, farad: an estimate from the field between neighbouring layers.
///
/// Layers there and back have a voltage between them from zero to twice a layer's, those from the same side a layer's everywhere:
/// `C = k C_pair (n − 1)/n²`, k = 4/3 or 1, n layers, by equating ½CV² with the energy between them. `C_pair` comes from straight field lines
/// between facing wires in a square pattern, through the insulation of both and the air:
/// `C' = ε₀ ∫ dx / [2(√(r_o² − x²) − √(r_i² − x²))/ε_r + q − 2√(r_o² − x²)]` over the wire's width, q the layer pitch, `r_i` bare, `r_o` over
/// insulation.
///
/// Accuracy 30 %: an estimate. Nested layers, tape between layers, resin and the terminals all change it.
///
/// # Errors
///
/// As [`LayerWinding::layers`]; if there are fewer than two layers, the insulated wire does not fit between bare wire and pitch, or
/// the permittivity lies outside 1 to 10.
pub fn layered_farad(
    winding: &LayerWinding,
    insulated_diameter_m: f64,
    relative_permittivity: f64,
    order: LayerOrder,
) -> Result<Modelled, ModelError> {
    let layers = winding.layers()?;
    within(LAYERED.name, "layers", layers as f64, 2.0, f64::MAX)?;
    let epsilon = within(
        LAYERED.name,
        "relative permittivity",
        relative_permittivity,
        1.0,
        10.0,
    )?;
    let (bare, outer) = (winding.conductor.width_m(), insulated_diameter_m);
    within(
        LAYERED.name,
        "diameter over insulation in bare diameters",
        outer / bare,
        1.0 + 1e-6,
        winding.layer_pitch_m / bare,
    )?;
    let per_metre = facing_wires(0.5 * bare, 0.5 * outer, winding.layer_pitch_m, epsilon);
    let n = layers as f64;
    let pairs: f64 = (0..layers - 1)
        .map(|l| {
            let radius = 0.5 * (winding.layer_radius_m(l) + winding.layer_radius_m(l + 1));
            TAU * radius * winding.turns_in_layer(l + 1) as f64
        })
        .sum();
    let shape = match order {
        LayerOrder::ThereAndBack => 4.0 / 3.0,
        LayerOrder::SameSide => 1.0,
    };
    Ok(Modelled::new(
        shape * per_metre * pairs / (n * n),
        0.3,
        LAYERED,
    ))
}

/// Capacitance of two facing wires of neighbouring layers, farad per metre.
fn facing_wires(bare: f64, outer: f64, pitch: f64, epsilon: f64) -> f64 {
    // x = r_i sin θ keeps the integrand smooth at the wire's edge.
    let half = GaussLegendre::new(48).integrate(0.0, std::f64::consts::FRAC_PI_2, |theta| {
        let x = bare * theta.sin();
        let to_outer = (outer * outer - x * x).sqrt();
        let to_bare = bare * theta.cos();
        let path = 2.0 * (to_outer - to_bare) / epsilon + (pitch - 2.0 * to_outer);
        bare * theta.cos() / path
    });
    2.0 * ELECTRIC_CONSTANT * half
}
