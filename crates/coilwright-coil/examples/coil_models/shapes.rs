//! Solenoids, sections, flat coils and loops: one formula against another.

use crate::sweep::{Outcome, Sweep, section, solenoid};
use coilwright_coil::inductance::{
    CircularLoop, Conductor, FlatSpiral, Section, SpiralOutline, circular_loop_henry,
    circular_loop_rayleigh_niven_henry, current_sheet_henry, flat_spiral_henry, section_henry,
    wheeler_multilayer_1928_henry, wheeler_solenoid_1928_henry, wheeler_solenoid_1982_henry,
    wheeler_spiral_1928_henry,
};

pub(crate) fn single_coils(sweep: &mut Sweep) -> Outcome<()> {
    sweep.row("Wheeler 1982 / Lorenz's sheet", "D/l 0.05–50", |s| {
        let coil = solenoid(s);
        let (found, exact) = (
            wheeler_solenoid_1982_henry(&coil)?,
            current_sheet_henry(&coil)?,
        );
        Ok((found.value, exact.value, found.relative_accuracy))
    })?;
    sweep.row(
        "Wheeler 1928 / Lorenz's sheet",
        "length over 0.8 radii",
        |s| {
            let coil = solenoid(s);
            let (found, exact) = (
                wheeler_solenoid_1928_henry(&coil)?,
                current_sheet_henry(&coil)?,
            );
            Ok((found.value, exact.value, found.relative_accuracy))
        },
    )?;
    sweep.row(
        "rectangular section of no depth / Lorenz's sheet",
        "D/l 0.05–50",
        |s| {
            let coil = solenoid(s);
            let thin = Section {
                mean_radius_m: 0.5 * coil.diameter_m,
                axial_length_m: coil.length_m,
                radial_depth_m: 0.0,
            };
            let found = section_henry(&thin, coil.turns)?;
            Ok((
                found.value,
                current_sheet_henry(&coil)?.value,
                found.relative_accuracy,
            ))
        },
    )?;
    sweep.row(
        "Wheeler 1928 multilayer / rectangular section",
        "terms within a factor 8",
        |s| {
            let shape = section(s);
            let found = wheeler_multilayer_1928_henry(&shape, 10.0)?;
            Ok((
                found.value,
                section_henry(&shape, 10.0)?.value,
                found.relative_accuracy,
            ))
        },
    )
}

pub(crate) fn flat_coils(sweep: &mut Sweep) -> Outcome<()> {
    sweep.row("Mohan / section of no length", "fill 0.03–0.9", |s| {
        let (outer, fill) = (s.log(0.01, 0.2), s.log(0.031, 0.9));
        let inner = outer * (1.0 - fill) / (1.0 + fill);
        let found = flat_spiral_henry(&FlatSpiral {
            outline: SpiralOutline::Circle,
            inner_diameter_m: inner,
            outer_diameter_m: outer,
            turns: 10.0,
        })?;
        let flat = Section {
            mean_radius_m: 0.25 * (inner + outer),
            axial_length_m: 0.0,
            radial_depth_m: 0.5 * (outer - inner),
        };
        Ok((
            found.value,
            section_henry(&flat, 10.0)?.value,
            found.relative_accuracy,
        ))
    })?;
    sweep.row(
        "Wheeler 1928 spiral / section of no length",
        "depth 0.2–2 radii",
        |s| {
            let (a, depth) = (s.log(5e-3, 0.1), s.log(0.2, 1.9));
            let found = wheeler_spiral_1928_henry(a, a * depth, 10.0)?;
            let flat = Section {
                mean_radius_m: a,
                axial_length_m: 0.0,
                radial_depth_m: a * depth,
            };
            Ok((
                found.value,
                section_henry(&flat, 10.0)?.value,
                found.relative_accuracy,
            ))
        },
    )?;
    sweep.row("thin loop / Rayleigh and Niven", "r/a 0.0005–0.2", |s| {
        let radius_m = s.log(5e-3, 0.3);
        let turn = CircularLoop {
            radius_m,
            conductor: Conductor::round(2.0 * radius_m * s.log(5e-4, 0.199)),
        };
        let found = circular_loop_henry(&turn)?;
        Ok((
            found.value,
            circular_loop_rayleigh_niven_henry(&turn)?.value,
            found.relative_accuracy,
        ))
    })
}
