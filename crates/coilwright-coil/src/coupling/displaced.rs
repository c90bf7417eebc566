//! Mutual inductance of two circles anywhere in space, by quadrature of the vector potential.

use super::coaxial::{CoaxialCircles, coaxial_circles_henry};
use crate::model_error::{finite, positive};
use crate::special::{elliptic, periodic_mean};
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};
use std::f64::consts::TAU;

pub(super) const VECTOR_POTENTIAL: Formula = Formula {
    name: "vector potential around the second circle, by quadrature",
    reference: "Babič, Sirois, Akyel and Girardi 2010, IEEE Trans. Magn. 46, 3591, eq. 24 (from memory; derived here)",
};
/// Change at the last doubling of points that is taken as settled.
const SETTLED: f64 = 1e-12;
/// Circles nearer than this over the first radius count as touching.
const NEAREST: f64 = 1e-4;

/// Where a second coil lies and how it is turned, seen from the first, whose axis is z.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Deserialize)]
pub struct Placement {
    /// Distance of the centres along the first coil's axis, metres.
    pub axial_m: f64,
    /// Distance of the second centre from the first coil's axis, metres.
    pub lateral_m: f64,
    /// Angle between the axes, radians.
    pub tilt_rad: f64,
    /// Direction of the tilt around the first axis, radians: 0 tilts the second axis along the displacement, π/2 across it.
    pub tilt_direction_rad: f64,
}

impl Placement {
    /// On the axis, not tilted.
    #[must_use]
    pub const fn coaxial(axial_m: f64) -> Self {
        Self {
            axial_m,
            lateral_m: 0.0,
            tilt_rad: 0.0,
            tilt_direction_rad: 0.0,
        }
    }

    pub(super) fn checked(&self) -> Result<(), ModelError> {
        finite("axial distance", self.axial_m, "m")?;
        finite("lateral distance", self.lateral_m, "m")?;
        finite("tilt", self.tilt_rad, "rad")?;
        finite("direction of the tilt", self.tilt_direction_rad, "rad").map(|_| ())
    }

    pub(super) fn is_coaxial(&self) -> bool {
        self.lateral_m == 0.0 && self.tilt_rad == 0.0
    }
}

/// A circle in space as its centre and two unit vectors that span its plane.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circle {
    centre: [f64; 3],
    along: [f64; 3],
    across: [f64; 3],
    radius: f64,
}

impl Circle {
    /// The circle of a radius in a placed coil, its plane moved along the coil's own axis.
    pub(super) fn placed(placement: &Placement, radius: f64, along_axis: f64) -> Self {
        let (sin, cos) = placement.tilt_rad.sin_cos();
        let (sin_direction, cos_direction) = placement.tilt_direction_rad.sin_cos();
        let axis = [sin * cos_direction, sin * sin_direction, cos];
        Self {
            centre: [
                placement.lateral_m + along_axis * axis[0],
                along_axis * axis[1],
                placement.axial_m + along_axis * axis[2],
            ],
            along: [cos * cos_direction, cos * sin_direction, -sin],
            across: [-sin_direction, cos_direction, 0.0],
            radius,
        }
    }

    /// Point at an angle and the derivative of the point by the angle.
    fn at(&self, angle: f64) -> ([f64; 3], [f64; 2]) {
        let (sin, cos) = angle.sin_cos();
        let (c, s) = (self.radius * cos, self.radius * sin);
        let point =
            std::array::from_fn(|i| self.centre[i] + c * self.along[i] + s * self.across[i]);
        let tangent = std::array::from_fn(|i| c * self.across[i] - s * self.along[i]);
        (point, tangent)
    }

    /// Smallest distance to the circle of radius `a` around z in its plane z = `height`, over sample points.
    pub(super) fn nearest(&self, a: f64, height: f64) -> f64 {
        (0..256)
            .map(|i| {
                let ([x, y, z], _) = self.at(TAU * f64::from(i) / 256.0);
                (x.hypot(y) - a).hypot(z - height)
            })
            .fold(f64::INFINITY, f64::min)
    }

    /// Whether the circle runs through a section around z that is centred at the origin.
    pub(super) fn enters(&self, section: &crate::inductance::Section) -> bool {
        (0..256).any(|i| {
            let ([x, y, z], _) = self.at(TAU * f64::from(i) / 256.0);
            let depth = 0.5 * section.radial_depth_m;
            let length = 0.5 * section.axial_length_m;
            (x.hypot(y) - section.mean_radius_m).abs() <= depth && z.abs() <= length
        })
    }

    /// Mutual inductance with the circle of radius `a` around z in its plane z = `height`:
    /// `M = ∮ A_φ φ̂·dl = ⟨M_coaxial(a, ρ, z)/ρ² · (x t_y − y t_x)⟩`, the mean over the angle, since `2πρ A_φ` is the flux through ρ.
    pub(super) fn mutual_henry(&self, a: f64, height: f64) -> Result<f64, ModelError> {
        periodic_mean("mutual inductance of circles", SETTLED, |angle| {
            let ([x, y, z], [tx, ty]) = self.at(angle);
            let dz = z - height;
            let rho = x.hypot(y);
            let far = (a + rho).mul_add(a + rho, dz * dz);
            let near = (a - rho).mul_add(a - rho, dz * dz);
            let slope = 8.0 * a * a * elliptic(near / far).maxwell / (far * far.sqrt());
            MAGNETIC_CONSTANT * slope * (x * ty - y * tx)
        })
    }
}

/// Mutual inductance of two circles of thin wire in any position, henry; positive where their axes agree.
///
/// M = ∮ A·dl around the second circle, A the vector potential of the first in elliptic integrals, by trapezoids that are doubled until they
/// settle to 1e-12 of the integrand's mean size. Accuracy 1e-10 of the coupling of the same circles untilted, for wires thin against their
/// distance.
///
/// # Errors
///
/// If a radius is not positive, a distance or angle not finite, the circles touch or cross, or the integral does not settle.
///
/// ```
/// use coilwright_coil::coupling::{Placement, circles_henry};
/// use std::f64::consts::FRAC_PI_2;
/// let crossed = Placement { tilt_rad: FRAC_PI_2, ..Placement::coaxial(0.03) };
/// assert!(circles_henry(0.05, 0.01, &crossed)?.value.abs() < 1e-20);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn circles_henry(
    first_radius_m: f64,
    second_radius_m: f64,
    placement: &Placement,
) -> Result<Modelled, ModelError> {
    placement.checked()?;
    if placement.is_coaxial() {
        return coaxial_circles_henry(&CoaxialCircles {
            first_radius_m,
            second_radius_m,
            distance_m: placement.axial_m,
        });
    }
    let a = positive("radius of the first circle", first_radius_m, "m")?;
    let b = positive("radius of the second circle", second_radius_m, "m")?;
    let circle = Circle::placed(placement, b, 0.0);
    let nearest = circle.nearest(a, 0.0);
    if nearest < NEAREST * a {
        return Err(ModelError::Touching {
            distance_m: nearest,
        });
    }
    let value = circle.mutual_henry(a, 0.0)?;
    Ok(Modelled::new(value, 1e-10, VECTOR_POTENTIAL))
}
