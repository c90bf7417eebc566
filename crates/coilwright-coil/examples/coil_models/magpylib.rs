//! Mutual inductances and fields that magpylib gave for the same geometries.

use crate::sweep::Outcome;
use coilwright_coil::coupling::{Placement, SectionCoil, circle_field, circles_henry, coils_henry};
use coilwright_coil::inductance::Section;

const CIRCLES: &str = include_str!("../../../../testdata/published/coil/magpylib_circles.csv");
const COILS: &str = include_str!("../../../../testdata/published/coil/magpylib_coils.csv");
const FIELD: &str = include_str!("../../../../testdata/published/coil/magpylib_field.csv");

fn table(text: &str) -> Vec<Vec<f64>> {
    let row = |line: &str| {
        line.split(',')
            .map(|v| v.parse().unwrap_or(f64::NAN))
            .collect()
    };
    text.lines().skip(1).map(row).collect()
}

fn place(row: &[f64]) -> Placement {
    Placement {
        axial_m: row[0],
        lateral_m: row[1],
        tilt_rad: row[2],
        tilt_direction_rad: row[3],
    }
}

pub(crate) fn against_magpylib() -> Outcome<()> {
    let (circles, coils, field) = (table(CIRCLES), table(COILS), table(FIELD));
    let mut worst = [0.0_f64; 3];
    for row in &circles {
        let found = circles_henry(row[0], row[1], &place(&row[2..]))?.value;
        let aligned =
            circles_henry(row[0], row[1], &Placement::coaxial(row[2].hypot(row[3])))?.value;
        worst[0] = worst[0].max((found - row[6]).abs() / row[6].abs().max(0.1 * aligned));
    }
    for row in &coils {
        let coil = |i: usize| SectionCoil {
            section: Section {
                mean_radius_m: row[i],
                axial_length_m: row[i + 1],
                radial_depth_m: row[i + 2],
            },
            turns: 1.0,
        };
        let found = coils_henry(&coil(0), &coil(3), &place(&row[6..]))?.value;
        worst[1] = worst[1].max((found / row[10] - 1.0).abs());
    }
    for row in &field {
        let found = circle_field(row[0], row[1], row[2]);
        let off =
            (found.radial_tesla_per_ampere - row[3]).hypot(found.axial_tesla_per_ampere - row[4]);
        worst[2] = worst[2].max(off / row[3].hypot(row[4]));
    }
    println!(
        "| circles, coaxial, displaced and tilted | {} | {:.1e} |",
        circles.len(),
        worst[0]
    );
    println!(
        "| coils of rectangular section, displaced and tilted | {} | {:.1e} |",
        coils.len(),
        worst[1]
    );
    println!("| field of a circle | {} | {:.1e} |", field.len(), worst[2]);
    Ok(())
}
