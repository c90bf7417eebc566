//! A coil over a conducting half-space: Dodd and Deeds.

use super::{SectionCoil, TunedCoil, TunedState};
use crate::model_error::{positive, within};
use crate::special::GaussLegendre;
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};
use num_complex::Complex64;
use std::f64::consts::PI;

const DODD_DEEDS: Formula = Formula {
    name: "Dodd and Deeds, coil over a half-space",
    reference: "Dodd and Deeds 1968, J. Appl. Phys. 39, 2829 (from memory; limits checked)",
};
/// Nodes over the wave number in each of the panels.
const NODES: usize = 64;
/// Panels, each a power of two of the scale: 2⁻⁹ to 2⁷ of the inverse size.
const PANELS: std::ops::Range<i32> = -9..7;
/// Circles along each side of the coil's section.
const CIRCLES: usize = 4;

/// A half-space of metal under a coil, its surface across the coil's axis.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct HalfSpace {
    /// Distance of the surface from the coil's near side, metres.
    pub gap_m: f64,
    /// Resistivity, ohm metres.
    pub resistivity_ohm_m: f64,
    /// Relative permeability, 1 for copper, brass and aluminium.
    pub relative_permeability: f64,
}

/// How a body changes a coil at one frequency.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct ImpedanceChange {
    /// Change of the inductance, henry; negative for metal.
    pub inductance_henry: Modelled,
    /// Resistance that the body adds, ohm.
    pub resistance_ohm: Modelled,
}

/// Change of a coil's inductance and resistance by a conducting half-space.
///
/// ΔZ = jω π μ₀ N² ∫ F(κ)² Γ(κ) dκ with F = ⟨r J₁(κr) e^(−κz)⟩ over the section, `Γ = (μ_r κ − κ₁)/(μ_r κ + κ₁)`,
/// `κ₁ = √(κ² + jωμ₀μ_r/ϱ)`. Γ → −1 is the mirror coil. Accuracy 1e-3 of |ΔZ| (limits: mirror coil, no metal).
///
/// # Errors
///
/// If a size or material constant is not positive, the permeability below 1, or the gap outside 0.05 to 20 mean radii.
pub fn half_space_change(
    coil: &SectionCoil,
    body: &HalfSpace,
    frequency_hz: f64,
) -> Result<ImpedanceChange, ModelError> {
    let coil = coil.checked("turns of the coil")?;
    let gap = positive("gap to the metal", body.gap_m, "m")?;
    let resistivity = positive("resistivity of the metal", body.resistivity_ohm_m, "Ω m")?;
    let frequency = positive("frequency", frequency_hz, "Hz")?;
    let permeability = within(
        DODD_DEEDS.name,
        "relative permeability",
        body.relative_permeability,
        1.0,
        1e6,
    )?;
    let radius = coil.section.mean_radius_m;
    within(
        DODD_DEEDS.name,
        "gap over mean radius",
        gap / radius,
        0.05,
        20.0,
    )?;
    let omega = 2.0 * PI * frequency;
    let skin = Complex64::new(0.0, omega * MAGNETIC_CONSTANT * permeability / resistivity);
    let lift = gap + 0.5 * coil.section.axial_length_m;
    let circles = coil.circles(CIRCLES);
    let sum = integrate(radius.min(2.0 * gap), |kappa| {
        let form: f64 = circles
            .iter()
            .map(|(r, z, w)| w * r * libm::j1(kappa * r) * (-kappa * (lift + z)).exp())
            .sum();
        let inside = (kappa * kappa + skin).sqrt();
        let outside = permeability * kappa;
        form * form * (outside - inside) / (outside + inside)
    });
    let turns = coil.turns * coil.turns;
    let change = Complex64::i() * omega * PI * MAGNETIC_CONSTANT * turns * sum;
    let size = change.norm() * 1e-3;
    let relative = |part: f64| size / part.abs().max(f64::MIN_POSITIVE);
    Ok(ImpedanceChange {
        inductance_henry: Modelled::new(change.im / omega, relative(change.im), DODD_DEEDS),
        resistance_ohm: Modelled::new(change.re, relative(change.re), DODD_DEEDS),
    })
}

impl TunedCoil {
    /// Resonance and Q of the tuned coil over a conducting half-space; the coil's geometry gives the change, the tuned coil the rest.
    ///
    /// # Errors
    ///
    /// As [`half_space_change`], and if the metal takes all inductance.
    pub fn over_half_space(
        &self,
        coil: &SectionCoil,
        body: &HalfSpace,
    ) -> Result<TunedState, ModelError> {
        self.with_change(|omega| {
            let change = half_space_change(coil, body, omega / (2.0 * PI))?;
            Ok((change.inductance_henry.value, change.resistance_ohm.value))
        })
    }
}

/// Integral over the wave number, in panels that double: the integrand lives around the inverse of the size.
fn integrate(size: f64, f: impl Fn(f64) -> Complex64) -> Complex64 {
    let rule = GaussLegendre::new(NODES);
    let edge = |panel: i32| 2.0_f64.powi(panel) / size;
    let panel = |low: f64, high: f64| -> Complex64 {
        rule.iter()
            .map(|(x, w)| w * (high - low) * f(low + x * (high - low)))
            .sum()
    };
    let first = panel(0.0, edge(PANELS.start));
    PANELS
        .map(|p| panel(edge(p), edge(p + 1)))
        .fold(first, |sum, part| sum + part)
}
