//! Coil of rectangular section, exactly: Maxwell's mutual inductance averaged over the section.

use super::mean_distance::rectangle_mean_distance_m;
use crate::coupling::mutual_henry;
use crate::model_error::{finite, positive};
use crate::special::GaussLegendre;
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};

const MAXWELL: Formula = Formula {
    name: "Maxwell's circles averaged over the section",
    reference: "Maxwell 1873, Treatise vol. 2 art. 706; by quadrature with the logarithm taken out",
};
/// Nodes along the difference of two points, where the integrand has a weak singularity at zero.
const NODES_DIFFERENCE: usize = 28;
/// Nodes along their mean radius, where it is smooth.
const NODES_MEAN: usize = 12;

/// Rectangular section of a winding around its axis.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct Section {
    /// Mean radius a, metres.
    pub mean_radius_m: f64,
    /// Length b along the axis, metres; zero for a flat spiral.
    pub axial_length_m: f64,
    /// Depth c along the radius, metres; zero for a single layer.
    pub radial_depth_m: f64,
}

impl Section {
    /// Radius, length and depth after checking them: not both of the last two may be zero and the depth at most twice the radius.
    pub(crate) fn checked(&self) -> Result<(f64, f64, f64), ModelError> {
        let a = positive("mean radius of the coil", self.mean_radius_m, "m")?;
        let b = finite("length of the coil", self.axial_length_m, "m")?;
        let c = finite("depth of the winding", self.radial_depth_m, "m")?;
        if b < 0.0 || (b == 0.0 && c == 0.0) {
            positive("length of the coil", b, "m")?;
        }
        if c < 0.0 {
            positive("depth of the winding", c, "m")?;
        }
        if c > 2.0 * a {
            return Err(ModelError::NoRoom {
                first: "twice the mean radius",
                second: "the depth of the winding",
                found_m: 2.0 * a,
                needed_m: c,
            });
        }
        Ok((a, b, c))
    }
}

/// Inductance of a coil that fills a rectangular section evenly, henry: L = N² ⟨M⟩, Maxwell's M averaged over all pairs of points.
///
/// Near a pair's coincidence M → μ₀ r [ln(8r/ρ) − 2]; r ln ρ, r the pair's mean radius, is taken out and added back through the
/// geometric mean distance of the rectangle, so that Gauss–Legendre nodes see a smooth rest. Accuracy 1e-6 for sections whose length is up
/// to 50 mean radii; covers solenoids (c = 0), flat spirals (b = 0) and everything between. Turns of wire differ by
/// [`super::turn_sum_henry`].
///
/// # Errors
///
/// If a size is not positive, both sides are zero, the depth exceeds twice the mean radius, or the length 50 mean radii.
///
/// ```
/// use coilwright_coil::inductance::{Section, section_henry};
/// // Brooks's coil: b = c, mean radius 1.5 c; 1.6994e-6 a N²
/// let brooks = Section { mean_radius_m: 0.015, axial_length_m: 0.01, radial_depth_m: 0.01 };
/// assert!((section_henry(&brooks, 100.0)?.value / (0.015 * 1e4) - 1.699_378e-6).abs() < 1e-12);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn section_henry(section: &Section, turns: f64) -> Result<Modelled, ModelError> {
    let (a, b, c) = section.checked()?;
    let n = positive("turns of the coil", turns, "turns")?;
    crate::model_error::within(MAXWELL.name, "length over mean radius", b / a, 0.0, 50.0)?;
    Ok(Modelled::new(
        n * n * mean_mutual_henry(a, b, c),
        1e-6,
        MAXWELL,
    ))
}

/// ⟨M⟩ of a section.
fn mean_mutual_henry(a: f64, b: f64, c: f64) -> f64 {
    let rule = GaussLegendre::crowded(NODES_DIFFERENCE, 3);
    let smooth = GaussLegendre::new(NODES_MEAN);
    let scale = 8.0 * a;
    let rest = average_difference(&rule, b, |dz| {
        average_difference(&rule, c, |dr| {
            smooth.integrate(0.0, 1.0, |s| {
                let inner = a - 0.5 * c + (c - dr) * s;
                let mean = inner + 0.5 * dr;
                let log = (dr.hypot(dz) / scale).ln();
                mutual_henry(inner, inner + dr, dz) / MAGNETIC_CONSTANT + mean * log
            })
        })
    });
    MAGNETIC_CONSTANT * (rest - a * (rectangle_mean_distance_m(b, c) / scale).ln())
}

/// Mean of a function of the distance of two points drawn evenly from a line: density 2(1 − t) of t = distance over length.
fn average_difference(rule: &GaussLegendre, length: f64, f: impl Fn(f64) -> f64) -> f64 {
    if length == 0.0 {
        return f(0.0);
    }
    rule.iter()
        .map(|(t, w)| 2.0 * (1.0 - t) * w * f(t * length))
        .sum()
}
