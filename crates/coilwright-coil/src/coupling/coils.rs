//! Mutual inductance of two coils of rectangular section: circles averaged over both sections.

use super::coaxial::mutual_henry;
use super::displaced::{Circle, Placement};
use crate::inductance::{Section, section_henry};
use crate::model_error::positive;
use crate::special::GaussLegendre;
use crate::{Formula, ModelError, Modelled};

const FILAMENTS: Formula = Formula {
    name: "circles averaged over both sections, Gauss–Legendre",
    reference: "Maxwell 1873, art. 700 (Rayleigh's and Lyle's method); Babič and Akyel's filaments with Gauss nodes (from memory)",
};
/// Nodes along each side of each section, in turn, until two agree.
const ORDERS: [usize; 5] = [1, 2, 4, 6, 9];
/// Agreement of two orders that is taken as settled.
const SETTLED: f64 = 1e-6;
/// Agreement that is still given, with its own accuracy.
const USABLE: f64 = 0.02;

/// A coil with turns spread evenly over a rectangular section, its centre at the origin and its axis along z.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct SectionCoil {
    /// The section.
    pub section: Section,
    /// Turns.
    pub turns: f64,
}

impl SectionCoil {
    /// Circles that stand for the coil: radius, height over the middle, weight. The weights sum to 1.
    pub(super) fn circles(&self, order: usize) -> Vec<(f64, f64, f64)> {
        let Section {
            mean_radius_m: a,
            axial_length_m: b,
            radial_depth_m: c,
        } = self.section;
        let rule = |length: f64| GaussLegendre::new(if length == 0.0 { 1 } else { order });
        let (along, across) = (rule(b), rule(c));
        let mut circles = Vec::new();
        for (z, wz) in along.iter() {
            for (r, wr) in across.iter() {
                circles.push((a + c * (r - 0.5), b * (z - 0.5), wz * wr));
            }
        }
        circles
    }

    /// The coil if its sizes make sense.
    pub(super) fn checked(&self, name: &'static str) -> Result<Self, ModelError> {
        positive("mean radius of the coil", self.section.mean_radius_m, "m")?;
        if self.section.axial_length_m != 0.0 || self.section.radial_depth_m != 0.0 {
            self.section.checked()?;
        }
        positive(name, self.turns, "turns")?;
        Ok(*self)
    }

    /// Inductance of the coil as a solid section, henry.
    ///
    /// # Errors
    ///
    /// As [`section_henry`].
    pub fn inductance_henry(&self) -> Result<Modelled, ModelError> {
        section_henry(&self.section, self.turns)
    }
}

/// Mutual inductance of two coils in any position, henry; positive where their axes agree.
///
/// `M = N₁ N₂ ⟨M_circles⟩` with 1, 2, 4, 6 and 9 Gauss nodes along each side until two agree to 1e-6; the accuracy stated is the last change.
/// A coil whose section is a point (length and depth zero) is a bundle of circles.
///
/// # Errors
///
/// If a size is not positive, the coils touch or run through each other, or two orders do not agree to 2 %.
///
/// ```
/// use coilwright_coil::coupling::{Placement, SectionCoil, coils_henry};
/// use coilwright_coil::inductance::Section;
/// let ring = SectionCoil {
///     section: Section { mean_radius_m: 17.5e-3, axial_length_m: 10e-3, radial_depth_m: 2e-3 }, turns: 90.0 };
/// let key = SectionCoil {
///     section: Section { mean_radius_m: 1.5e-3, axial_length_m: 8e-3, radial_depth_m: 0.6e-3 }, turns: 300.0 };
/// let mutual = coils_henry(&ring, &key, &Placement::coaxial(12e-3))?;
/// assert!(mutual.value > 1e-6 && mutual.value < 10e-6);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn coils_henry(
    first: &SectionCoil,
    second: &SectionCoil,
    placement: &Placement,
) -> Result<Modelled, ModelError> {
    placement.checked()?;
    let first = first.checked("turns of the first coil")?;
    let second = second.checked("turns of the second coil")?;
    refuse_overlap(&first, &second, placement)?;
    let turns = first.turns * second.turns;
    let mut before = average(&first, &second, placement, ORDERS[0])?;
    let mut change = f64::INFINITY;
    for order in &ORDERS[1..] {
        let (mean, size) = average(&first, &second, placement, *order)?;
        change = (mean - before.0).abs() / size;
        before = (mean, size);
        if change <= SETTLED {
            break;
        }
    }
    if change > USABLE {
        return Err(ModelError::NotSettled {
            quantity: "mutual inductance of coils",
            reached: change,
            needed: USABLE,
        });
    }
    let relative = change.max(SETTLED) * before.1 / before.0.abs().max(f64::MIN_POSITIVE);
    Ok(Modelled::new(turns * before.0, relative, FILAMENTS))
}

/// Coupling coefficient M/√(L₁L₂) of two coils, and the mutual inductance it comes from.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Coupling {
    /// Coupling coefficient, −1 to 1.
    pub coefficient: Modelled,
    /// Mutual inductance, henry.
    pub mutual_henry: Modelled,
}

/// Coupling coefficient k = M/√(L₁L₂) of two coils in any position, with the inductances of solid sections.
///
/// # Errors
///
/// As [`coils_henry`] and [`section_henry`].
pub fn coupling_coefficient(
    first: &SectionCoil,
    second: &SectionCoil,
    placement: &Placement,
) -> Result<Coupling, ModelError> {
    let mutual = coils_henry(first, second, placement)?;
    let (l1, l2) = (first.inductance_henry()?, second.inductance_henry()?);
    let accuracy = mutual.relative_accuracy + 0.5 * (l1.relative_accuracy + l2.relative_accuracy);
    let value = mutual.value / (l1.value * l2.value).sqrt();
    Ok(Coupling {
        coefficient: Modelled::new(value, accuracy, mutual.formula),
        mutual_henry: mutual,
    })
}

/// Weighted mean of the circles' mutual inductances, and the mean of their sizes.
fn average(
    first: &SectionCoil,
    second: &SectionCoil,
    placement: &Placement,
    order: usize,
) -> Result<(f64, f64), ModelError> {
    let (mut mean, mut size) = (0.0, 0.0);
    let ones = first.circles(order);
    for (b, h, weight) in second.circles(order) {
        let circle = Circle::placed(placement, b, h);
        for &(a, z, other) in &ones {
            let mutual = if placement.is_coaxial() {
                mutual_henry(a, b, placement.axial_m + h - z)
            } else {
                circle.mutual_henry(a, z)?
            };
            mean += weight * other * mutual;
            size += weight * other * mutual.abs();
        }
    }
    if mean.is_finite() {
        Ok((mean, size.max(f64::MIN_POSITIVE)))
    } else {
        Err(ModelError::Touching { distance_m: 0.0 })
    }
}

/// Refuses coils of which an edge circle of one runs through the section of the other.
fn refuse_overlap(
    first: &SectionCoil,
    second: &SectionCoil,
    placement: &Placement,
) -> Result<(), ModelError> {
    let (one, two) = (&first.section, &second.section);
    for corner in 0..9 {
        let (u, v) = (
            f64::from(corner % 3 - 1) * 0.5,
            f64::from(corner / 3 - 1) * 0.5,
        );
        let radius = two.mean_radius_m + u * two.radial_depth_m;
        let circle = Circle::placed(placement, radius, v * two.axial_length_m);
        if circle.enters(one) {
            return Err(ModelError::Touching { distance_m: 0.0 });
        }
    }
    Ok(())
}
