//! Rosa's corrections: a winding of wire against a current sheet or a solid section.

use super::mean_distance::rectangle_mean_distance_m;
use super::{
    Conductor, Solenoid, current_sheet_henry, nagaoka_coefficient, wheeler_solenoid_1982_henry,
};
use crate::model_error::{positive, within};
use crate::{Formula, MAGNETIC_CONSTANT, ModelError, Modelled};
use std::f64::consts::TAU;

const ROSA: Formula = Formula {
    name: "Lorenz's sheet with Rosa's correction for wire",
    reference: "Rosa 1906, Bull. Bur. Standards 2, 161; its B as Weaver's series in Knight 2012 (from memory)",
};

const WHEELER: Formula = Formula {
    name: "Wheeler 1982 with Rosa's correction for wire",
    reference: "Wheeler 1982, Proc. IEEE 70, 1449; Rosa 1906, Bull. Bur. Standards 2, 161 (from memory)",
};

/// Inductance of a single-layer solenoid of real wire, henry: `L = L_sheet − μ₀ a N (A + B)`.
///
/// A = 3/2 + ln(g/p) replaces the self inductance of a strip of one pitch p by that of the wire with mean distance g; for round wire
/// with uniform current it is Rosa's ln(1.7452 d/p). B corrects the mutual inductances of the turns:
/// B = ln 2π − 3/2 − ln N/(6N) − 0.33084236/N − 1/(120 N³) + 1/(504 N⁵) − 0.0011923/N⁷ + 0.0005068/N⁹ (Weaver).
///
/// Accuracy: 0.1 % plus (p/a)² (held against the sum of turns). Valid for a pitch of at most 0.3 of the radius and wire not
/// thicker than the pitch.
///
/// # Errors
///
/// If a size is not positive, turns are fewer than one, the wire is thicker than the pitch, or the pitch too wide.
///
/// ```
/// use coilwright_coil::inductance::{Conductor, Solenoid, solenoid_of_wire_henry};
/// let coil = Solenoid { diameter_m: 0.05, length_m: 0.02, turns: 60.0 };
/// let value = solenoid_of_wire_henry(&coil, &Conductor::round(0.3e-3))?.value;
/// assert!(value < 209.570_342e-6 && value > 207e-6);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn solenoid_of_wire_henry(
    solenoid: &Solenoid,
    conductor: &Conductor,
) -> Result<Modelled, ModelError> {
    let (correction, relative) = wire_correction_henry(solenoid, conductor)?;
    let value = current_sheet_henry(solenoid)?.value + correction;
    Ok(Modelled::new(value, 1e-3 + relative * relative, ROSA))
}

/// The same from Wheeler's continuous formula of 1982 for the sheet, a second way to it.
///
/// Accuracy: that of [`solenoid_of_wire_henry`] and Wheeler's 0.1 %.
///
/// # Errors
///
/// As for [`solenoid_of_wire_henry`].
pub fn wheeler_solenoid_of_wire_henry(
    solenoid: &Solenoid,
    conductor: &Conductor,
) -> Result<Modelled, ModelError> {
    let (correction, relative) = wire_correction_henry(solenoid, conductor)?;
    let value = wheeler_solenoid_1982_henry(solenoid)?.value + correction;
    Ok(Modelled::new(value, 2e-3 + relative * relative, WHEELER))
}

/// What wire has more than a current sheet, henry, and the pitch over the radius.
fn wire_correction_henry(
    solenoid: &Solenoid,
    conductor: &Conductor,
) -> Result<(f64, f64), ModelError> {
    nagaoka_coefficient(solenoid.diameter_over_length()?)?;
    let n = within(ROSA.name, "turns", solenoid.turns, 1.0, f64::MAX)?;
    let radius = 0.5 * solenoid.diameter_m;
    let pitch = solenoid.length_m / n;
    let relative = within(ROSA.name, "pitch over radius", pitch / radius, 0.0, 0.3)?;
    if conductor.width_m() > pitch * (1.0 + 1e-9) {
        return Err(ModelError::NoRoom {
            first: "the pitch",
            second: "the wire",
            found_m: pitch,
            needed_m: conductor.width_m(),
        });
    }
    let own = 1.5 + (conductor.mean_distance_m()? / pitch).ln();
    Ok((
        -MAGNETIC_CONSTANT * radius * n * (own + rosa_b(n)),
        relative,
    ))
}

/// Rosa's B for the mutual inductances of N turns.
fn rosa_b(n: f64) -> f64 {
    TAU.ln() - 1.5 - n.ln() / (6.0 * n) - 0.330_842_36 / n - 1.0 / (120.0 * n.powi(3))
        + 1.0 / (504.0 * n.powi(5))
        - 0.001_192_3 / n.powi(7)
        + 0.000_506_8 / n.powi(9)
}

/// Rosa's E: what the mutual inductances of round wires in a square pattern add for each turn, from 0.0065 for two turns to 0.018
/// for many (Rosa 1906; Grover 1946 p. 99, from memory).
const ROSA_E: f64 = 0.0172;

/// What a multilayer winding of wire has more than a solid section of the same size, henry:
/// `μ₀ a N [ln(g_cell/g_wire) + E]`, `g_cell` the mean distance of one pitch by one layer; for a square pattern of pitch p and round wire
/// it is Rosa's ln(p/d) + 0.13806 + E.
///
/// # Errors
///
/// If a size is not positive.
pub(super) fn section_correction_henry(
    mean_radius_m: f64,
    turns: f64,
    cell_m: (f64, f64),
    conductor: &Conductor,
) -> Result<f64, ModelError> {
    positive("axial pitch", cell_m.0, "m")?;
    positive("layer pitch", cell_m.1, "m")?;
    let cell = rectangle_mean_distance_m(cell_m.0, cell_m.1);
    let own = (cell / conductor.mean_distance_m()?).ln();
    Ok(MAGNETIC_CONSTANT * mean_radius_m * turns * (own + ROSA_E))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_turn_has_no_neighbours_and_many_reach_the_limit() {
        // B(1) = 0: one turn has no mutual inductances. 2 turns 0.1137, 10 turns 0.2664 (Rosa's table, from memory).
        assert!(rosa_b(1.0).abs() < 3e-5, "{}", rosa_b(1.0));
        assert!((rosa_b(2.0) - 0.1137).abs() < 5e-5, "{}", rosa_b(2.0));
        assert!((rosa_b(10.0) - 0.2664).abs() < 5e-5, "{}", rosa_b(10.0));
        assert!((rosa_b(1e9) - 0.337_877).abs() < 1e-6);
    }

    #[test]
    fn round_wire_gives_rosas_constant() {
        let wire = Conductor::round(1.0);
        let own = 1.5 + wire.mean_distance_m().unwrap_or(f64::NAN).ln();
        assert!((own - 1.7452_f64.ln()).abs() < 5e-5);
        let section = section_correction_henry(1.0, 1.0, (1.0, 1.0), &wire).unwrap_or(f64::NAN);
        assert!((section / MAGNETIC_CONSTANT - ROSA_E - 0.138_06).abs() < 1e-5);
    }
}
