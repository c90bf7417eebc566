//! The circuit of a ring for ngspice: the winding in parts, eddy currents as closed loops, stray capacitance.
//!
//! None of it is the one closed loop that the judge works with: bridged turns are a part of the winding with a resistance across it,
//! metal is a set of rings in its surface that couple with the coil and with each other, and proximity loss rises with the square of frequency.

use crate::coil::{CARRIER_HZ, Ring, Wound};
use crate::fault::Fault;
use coilwright_coil::coupling::{CoaxialCircles, HalfSpace, coaxial_circles_henry};
use coilwright_coil::inductance::{CircularLoop, Conductor, circular_loop_rayleigh_niven_henry};
use std::f64::consts::{PI, TAU};
use std::fmt::Write;
use std::ops::Range;

/// Rings that stand for a metal surface, from a hole at the coil's axis to `REACH` times its radius.
const RINGS: usize = 8;
const REACH: f64 = 2.2;
/// Least Q of the loop that carries proximity loss; far below one its loss rises with the square of frequency.
const LOSS_LOOP_Q: f64 = 0.1;
/// Self-capacitance of the whole winding and, over it, of each part, farad.
const STRAY_FARAD: f64 = 20e-12;
const STRAY_PART: f64 = 0.3;

/// An inductor that closes on itself.
struct Closed {
    inductance_henry: f64,
    resistance_ohm: f64,
}

/// The lines of a coil between the nodes `c` and `0`.
pub(crate) fn coil(wound: &Wound, fault: &Fault, sound: &Ring) -> String {
    let mut text = String::new();
    match fault {
        Fault::Open => text += "Rgap c c0 1g\nCgap c c0 2p\n",
        Fault::Shorted => text += "Lbridge c cb 0.3u\nRbridge cb 0 0.1\nRin c c0 1m\n",
        _ => text += "Rin c c0 1m\n",
    }
    let parts = parts(wound, fault);
    winding(&mut text, wound, fault, sound, &parts);
    losses(&mut text, wound, sound, &parts);
    if let Fault::Metal(metal) = fault {
        rings(&mut text, wound, metal, &parts);
    }
    text
}

/// The winding's parts in order: before the bridge, under it, behind it.
fn parts(wound: &Wound, fault: &Fault) -> Vec<Range<usize>> {
    let turns = wound.ring.turns;
    let bridged = match fault {
        Fault::Bridged { turns, .. } => turns.clone(),
        _ => 0..turns,
    };
    let all = [0..bridged.start, bridged.clone(), bridged.end..turns];
    all.into_iter().filter(|part| !part.is_empty()).collect()
}

fn line(text: &mut String, arguments: std::fmt::Arguments<'_>) {
    text.write_fmt(arguments).expect("a string takes any text");
    text.push('\n');
}

fn winding(text: &mut String, wound: &Wound, fault: &Fault, sound: &Ring, parts: &[Range<usize>]) {
    let scale = sound.inductance_henry / wound.ring.inductance_henry;
    let node = |n: usize| {
        if n == parts.len() {
            "0".to_owned()
        } else {
            format!("c{n}")
        }
    };
    line(text, format_args!("Cwhole c0 0 {STRAY_FARAD:e}"));
    for (n, part) in parts.iter().enumerate() {
        let (from, to) = (node(n), node(n + 1));
        let inductance = scale * wound.mutual_henry(part, part);
        let resistance = sound.direct_ohm * wound.share(part);
        let stray = STRAY_PART * STRAY_FARAD;
        line(text, format_args!("L{n} {from} m{n} {inductance:.12e}"));
        line(text, format_args!("R{n} m{n} {to} {resistance:.9e}"));
        line(text, format_args!("C{n} {from} {to} {stray:e}"));
        if let Fault::Bridged { turns, contact_ohm } = fault
            && turns == part
        {
            line(
                text,
                format_args!("Rshort {from} {to} {:.9e}", contact_ohm.max(1e-4)),
            );
        }
        for (m, other) in parts.iter().enumerate().take(n) {
            let own = |part: &Range<usize>| wound.mutual_henry(part, part);
            let k = wound.mutual_henry(part, other) / (own(part) * own(other)).sqrt();
            line(text, format_args!("K{m}_{n} L{m} L{n} {k:.12}"));
        }
    }
}

/// What alternating current loses beside the wire's direct-current resistance, as one more closed loop.
fn losses(text: &mut String, wound: &Wound, sound: &Ring, parts: &[Range<usize>]) {
    let omega = TAU * CARRIER_HZ;
    let added = sound.resistance_ohm - sound.direct_ohm;
    if added <= 0.0 {
        return;
    }
    let loop_q = LOSS_LOOP_Q.max(5.0 * added / (omega * sound.inductance_henry));
    let closed = Closed {
        inductance_henry: 1e-6,
        resistance_ohm: omega * 1e-6 / loop_q,
    };
    // ΔR = ω²M² R₂/(R₂² + ω²L₂²)
    let mutual = (added * closed.resistance_ohm * (1.0 + loop_q * loop_q)).sqrt() / omega;
    let turns = wound.ring.turns as f64;
    let coupled: Vec<f64> = parts
        .iter()
        .map(|p| mutual * p.len() as f64 / turns)
        .collect();
    closed_loop(text, wound, sound, parts, "loss", &closed, &coupled);
}

fn closed_loop(
    text: &mut String,
    wound: &Wound,
    sound: &Ring,
    parts: &[Range<usize>],
    name: &str,
    closed: &Closed,
    mutual_henry: &[f64],
) {
    let scale = sound.inductance_henry / wound.ring.inductance_henry;
    line(
        text,
        format_args!("L{name} 0 {name} {:.12e}", closed.inductance_henry),
    );
    line(
        text,
        format_args!("R{name} {name} 0 {:.9e}", closed.resistance_ohm),
    );
    for ((n, part), mutual) in parts.iter().enumerate().zip(mutual_henry) {
        let own = scale * wound.mutual_henry(part, part);
        let k = mutual / (own * closed.inductance_henry).sqrt();
        line(text, format_args!("K{name}_{n} L{name} L{n} {k:.12}"));
    }
}

/// Rings in the surface of the metal, one skin depth thick.
fn rings(text: &mut String, wound: &Wound, metal: &HalfSpace, parts: &[Range<usize>]) {
    let permeability = 4e-7 * PI;
    let skin = (metal.resistivity_ohm_m / (PI * CARRIER_HZ * permeability)).sqrt();
    let width = REACH * wound.section.section.mean_radius_m / (RINGS + 1) as f64;
    let depth = wound.end_m + metal.gap_m + 0.5 * skin;
    let radius = |n: usize| (n as f64 + 1.5) * width;
    let mutual = |a: f64, b: f64, d: f64| {
        coaxial_circles_henry(&CoaxialCircles {
            first_radius_m: a,
            second_radius_m: b,
            distance_m: d,
        })
        .expect("two circles")
        .value
    };
    let own: Vec<f64> = (0..RINGS)
        .map(|n| {
            // A flat strip has the geometric mean distance 0.2235 of its width, round wire 0.7788 of its radius.
            let strip = CircularLoop {
                radius_m: radius(n),
                conductor: Conductor::round(2.0 * 0.2235 / 0.7788 * width),
            };
            circular_loop_rayleigh_niven_henry(&strip)
                .expect("a ring")
                .value
        })
        .collect();
    for n in 0..RINGS {
        let closed = Closed {
            inductance_henry: own[n],
            resistance_ohm: metal.resistivity_ohm_m * TAU * radius(n) / (width * skin),
        };
        let coupled: Vec<f64> = parts
            .iter()
            .map(|part| {
                let turns = &wound.positions[part.clone()];
                turns
                    .iter()
                    .map(|t| mutual(t.radius_m, radius(n), depth + t.height_m))
                    .sum()
            })
            .collect();
        closed_loop(
            text,
            wound,
            &wound.ring,
            parts,
            &format!("metal{n}"),
            &closed,
            &coupled,
        );
        for m in 0..n {
            let k = mutual(radius(m), radius(n), 0.0) / (own[m] * own[n]).sqrt();
            line(
                text,
                format_args!("Kmetal{m}_metal{n} Lmetal{m} Lmetal{n} {k:.12}"),
            );
        }
    }
}
