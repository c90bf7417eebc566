//! Coils beside each other and over metal, against what symmetry says.

use crate::sweep::{Outcome, Sweep};
use coilwright_coil::coupling::{
    CoaxialCircles, HalfSpace, Placement, SectionCoil, circles_henry, coaxial_circles_henry,
    half_space_change,
};
use coilwright_coil::inductance::Section;

pub(crate) fn positions(sweep: &mut Sweep) -> Outcome<()> {
    sweep.row(
        "displaced circles / first and second exchanged",
        "parallel axes",
        |s| {
            let (a, b) = (s.log(5e-3, 0.1), s.log(2e-3, 0.1));
            let place = Placement {
                axial_m: s.log(1e-2, 0.2),
                lateral_m: s.log(1e-3, 0.1),
                ..Placement::default()
            };
            let back = Placement {
                axial_m: -place.axial_m,
                lateral_m: -place.lateral_m,
                ..place
            };
            let (found, other) = (circles_henry(a, b, &place)?, circles_henry(b, a, &back)?);
            // Where the flux nearly vanishes, only the difference against the aligned coils means something.
            let aligned = circles_henry(
                a,
                b,
                &Placement::coaxial(place.axial_m.hypot(place.lateral_m)),
            )?;
            let level = other.value.abs().max(0.1 * aligned.value);
            Ok((level + found.value - other.value, level, 1e-8))
        },
    )?;
    sweep.row(
        "half-space of a perfect conductor / mirror coil",
        "gap 0.1–5 radii",
        |s| {
            let a = s.log(5e-3, 0.1);
            let gap_m = a * s.log(0.1, 5.0);
            let coil = SectionCoil {
                section: Section {
                    mean_radius_m: a,
                    axial_length_m: 0.0,
                    radial_depth_m: 0.0,
                },
                turns: 1.0,
            };
            let body = HalfSpace {
                gap_m,
                resistivity_ohm_m: 1e-20,
                relative_permeability: 1.0,
            };
            let found = half_space_change(&coil, &body, 125e3)?.inductance_henry;
            let mirror = coaxial_circles_henry(&CoaxialCircles {
                first_radius_m: a,
                second_radius_m: a,
                distance_m: 2.0 * gap_m,
            })?;
            Ok((-found.value, mirror.value, found.relative_accuracy))
        },
    )
}
