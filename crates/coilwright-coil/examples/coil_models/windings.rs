//! Formulas for windings against sums over all turns.

use crate::sweep::{Outcome, Sweep};
use coilwright_coil::coupling::{
    CoaxialCircles, Placement, SectionCoil, coaxial_circles_henry, coils_henry,
};
use coilwright_coil::inductance::{
    Conductor, LayerWinding, Solenoid, multilayer_henry, solenoid_of_wire_henry, turn_sum_henry,
};
use coilwright_coil::loss::{WindowLayers, Wire, dowell_ratio, skin_depth_m, winding_resistance};

const COPPER_OHM_M: f64 = 1.7241e-8;

pub(crate) fn windings(sweep: &mut Sweep) -> Outcome<()> {
    sweep.row(
        "sheet with Rosa's correction / sum over turns",
        "1 layer, 2–200 turns",
        |s| {
            let turns = s.count(2, 200);
            let winding = s.winding(1, turns);
            let coil = Solenoid {
                diameter_m: 2.0 * winding.layer_radius_m(0),
                length_m: turns as f64 * winding.axial_pitch_m,
                turns: turns as f64,
            };
            let found = solenoid_of_wire_henry(&coil, &winding.conductor)?;
            Ok((
                found.value,
                turn_sum_henry(&winding)?.value,
                found.relative_accuracy,
            ))
        },
    )?;
    sweep.row(
        "section with Rosa's correction / sum over turns",
        "2–10 layers, 2–60 turns each",
        |s| {
            let (layers, per_layer) = (s.count(2, 10), s.count(2, 60));
            let winding = s.winding(layers, per_layer);
            let found = multilayer_henry(&winding)?;
            Ok((
                found.value,
                turn_sum_henry(&winding)?.value,
                found.relative_accuracy,
            ))
        },
    )?;
    sweep.row(
        "mutual inductance of sections / sum over all pairs of turns",
        "2–5 layers, coaxial",
        |s| {
            let mut coil = || {
                let (layers, per_layer) = (s.count(2, 5), s.count(2, 20));
                s.winding(layers, per_layer)
            };
            let (one, two) = (coil(), coil());
            let half = |w: &LayerWinding| 0.5 * w.section().map_or(0.0, |s| s.axial_length_m);
            let apart = half(&one) + half(&two) + s.log(2e-3, 50e-3);
            let solid = |w: &LayerWinding| -> Outcome<SectionCoil> {
                Ok(SectionCoil {
                    section: w.section()?,
                    turns: w.turns as f64,
                })
            };
            let found = coils_henry(&solid(&one)?, &solid(&two)?, &Placement::coaxial(apart))?;
            Ok((
                found.value,
                all_pairs(&one, &two, apart)?,
                found.relative_accuracy + 0.01,
            ))
        },
    )?;
    sweep.row(
        "Ferreira with the turns' field / Dowell",
        "2–6 layers, long coil, wire to 1 skin depth",
        |s| {
            let layers = s.count(2, 6);
            let wire = s.log(0.1e-3, 0.18e-3);
            let winding = LayerWinding {
                former_radius_m: 20.0 * wire * layers as f64,
                turns: layers * 800,
                turns_per_layer: 800,
                axial_pitch_m: 1.08 * wire,
                layer_pitch_m: 1.08 * wire,
                conductor: Conductor::round(wire),
            };
            let copper = Wire::Solid { diameter_m: wire };
            let found = winding_resistance(&winding, &copper, COPPER_OHM_M, 125e3)?;
            let window = WindowLayers {
                layers,
                wire_diameter_m: wire,
                pitch_m: 1.08 * wire,
            };
            let dowell = dowell_ratio(&window, skin_depth_m(COPPER_OHM_M, 125e3)?)?;
            let stated = dowell.relative_accuracy + found.alternating_ohm.relative_accuracy;
            Ok((
                found.alternating_ohm.value / found.direct_ohm,
                dowell.value,
                stated,
            ))
        },
    )
}

/// Mutual inductance of two windings on one axis, turn by turn, their middles a distance apart.
fn all_pairs(one: &LayerWinding, two: &LayerWinding, apart: f64) -> Outcome<f64> {
    let middle = |w: &LayerWinding| 0.5 * (w.turns_per_layer - 1) as f64 * w.axial_pitch_m;
    let mut sum = 0.0;
    for a in one.positions()? {
        for b in two.positions()? {
            let distance_m = apart + b.height_m - middle(two) - a.height_m + middle(one);
            sum += coaxial_circles_henry(&CoaxialCircles {
                first_radius_m: a.radius_m,
                second_radius_m: b.radius_m,
                distance_m,
            })?
            .value;
        }
    }
    Ok(sum)
}
