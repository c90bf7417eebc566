//! Modelled coils in a circuit, at a key and beside metal, against published values and closed forms.

use std::f64::consts::{PI, TAU};

use crate::coil::number;
use crate::coil_model::{LOCK, MU_0, model, near, rows};

const MUTUALS: &str = include_str!("../../../../testdata/published/coil/mutual_coaxial.csv");

/// The mutual inductance of coaxial circles that the table has.
fn table_mutual(a: f64, b: f64, d: f64) -> f64 {
    rows(MUTUALS, "").find(|row| row[..3] == [a, b, d]).unwrap()[3]
}

#[test]
fn a_tuned_ring_has_the_published_bandwidth() {
    // Q 20 at 125 kHz: τ 50.9295818 µs, 3 dB bandwidth 6250 Hz (resonance table, from the definitions).
    let henry = number(&model(LOCK), "inductance_henry");
    let ohm = TAU * 125e3 * henry / 20.0;
    let run = model(&format!("{LOCK} --coil-ohm {ohm} --bit-rate 1953.125"));
    near(number(&run, "loaded_q"), 20.0, 1e-9);
    near(number(&run, "time_constant_s"), 50.929_581_8e-6, 1e-8);
    near(number(&run, "bandwidth_hz"), 6250.0, 1e-9);
    // Half a bit of RF/64 is 256 µs; two time constants in it allow Q 50.27.
    near(number(&run, "most_q_for_rate"), 128e-6 * PI * 125e3, 1e-9);
    let side = |f: f64| 1.0 / (1.0 + (20.0 * (f / 125e3 - 125e3 / f)).powi(2));
    let loss = 10.0 * (0.5 * (side(125e3 + 1953.125) + side(125e3 - 1953.125))).log10();
    near(number(&run, "full_rate_sideband_db"), loss, 1e-9);
    // Too sharp a ring is told so, with the resistance that mends it.
    let sharp = model(&format!(
        "{LOCK} --coil-ohm {} --bit-rate 1953.125",
        0.2 * ohm
    ));
    assert!(sharp.data.contains("smears bits"), "{}", sharp.data);
    let mended = 20.0 * ohm / (128e-6 * PI * 125e3) - 0.2 * ohm;
    assert!(
        sharp.data.contains(&format!("--series-ohm {mended:.1}")),
        "{}",
        sharp.data
    );
}

#[test]
fn a_driven_tank_in_series_and_in_parallel() {
    let coil = model(LOCK);
    let (henry, ohm) = (
        number(&coil, "inductance_henry"),
        number(&coil, "resistance_ohm"),
    );
    let reactance = TAU * 125e3 * henry;
    let run = model(&format!("{LOCK} --drive 5 --series-ohm 20"));
    near(number(&run, "coil_peak_ampere"), 5.0 / (ohm + 20.0), 1e-9);
    near(
        number(&run, "capacitor_peak_volt"),
        5.0 * reactance / (ohm + 20.0),
        1e-9,
    );
    near(number(&run, "loaded_q"), reactance / (ohm + 20.0), 1e-9);
    assert!(run.data.contains("as safe to touch") && run.data.contains("pacemaker"));
    // A weak one is no danger to touch.
    let weak = model(&format!("{LOCK} --drive 0.5 --series-ohm 200"));
    assert!(!weak.data.contains("as safe to touch"));

    // Off tune: I = V/|R + j(ωL − 1/ωC)|, C with the coil's own capacitance.
    let off = model(&format!("{LOCK} --drive 5 --series-ohm 20 --tune 1.5e-9"));
    let farad = 1.5e-9 + number(&off, "self_capacitance_farad");
    near(number(&off, "capacitance_farad"), farad, 1e-12);
    near(
        number(&off, "resonance_hz"),
        1.0 / (TAU * (henry * farad).sqrt()),
        1e-9,
    );
    let rest = reactance - 1.0 / (TAU * 125e3 * farad);
    near(
        number(&off, "coil_peak_ampere"),
        5.0 / rest.hypot(ohm + 20.0),
        1e-9,
    );

    let parallel = model(&format!(
        "{LOCK} --drive 5 --series-ohm 10e3 --tank parallel"
    ));
    let q = 1.0 / (ohm / reactance + reactance / 10e3);
    near(number(&parallel, "loaded_q"), q, 1e-9);
}

#[test]
fn coupled_coils_and_the_range_of_a_key() {
    // Circles of the table; the second coil is all but one turn without length.
    let words = "loop --diameter 0.5 --wire 1e-3 --distance 0.1 --key-diameter 0.4 --key-length 1e-5 --key-turns 1";
    let run = model(words);
    near(
        number(&run, "mutual_henry"),
        table_mutual(0.25, 0.2, 0.1),
        1e-6,
    );
    // Across the field nothing is coupled; a small tilt costs its cosine far away.
    let far = "loop --diameter 0.02 --wire 1e-3 --distance 1 --key-diameter 0.02 --key-length 1e-3 --key-turns 100";
    let straight = number(&model(far), "mutual_henry");
    let tilted = number(&model(&format!("{far} --tilt 60")), "mutual_henry");
    near(tilted / straight, 0.5, 1e-3);
    // A dipole in the other's plane has half the field of that on the axis, the other way round.
    let beside = far.replace("--distance 1", "--distance 0 --offset 1");
    near(
        number(&model(&beside), "mutual_henry") / straight,
        -0.5,
        1e-3,
    );

    let key = "--distance 12e-3 --key-q 20 --key-needs 4";
    let run = model(&format!("{LOCK} --drive 5 --series-ohm 20 {key}"));
    let ampere = number(&run, "coil_peak_ampere");
    near(
        number(&run, "key_peak_volt"),
        TAU * 125e3 * number(&run, "mutual_henry") * ampere * 20.0,
        1e-9,
    );
    // The mean radius of five layers with a pitch of 0.22 mm on 35 mm.
    let a = 17.5e-3 + 2.5 * 0.22e-3;
    let field = |r: f64| 0.5 * MU_0 * 100.0 * ampere * a * a / (a * a + r * r).powf(1.5);
    near(number(&run, "field_peak_tesla"), field(12e-3), 1e-9);
    let volt = |r: f64| TAU * 125e3 * 300.0 * 0.25 * PI * 9e-6 * 20.0 * field(r);
    near(volt(number(&run, "range_m")), 4.0, 1e-9);
    // The even field and the mutual inductance agree for so small a coil.
    near(number(&run, "key_peak_volt"), volt(12e-3), 0.05);
    let rod = model(&format!(
        "{LOCK} --drive 5 --series-ohm 20 {key} --key-rod 45"
    ));
    near(
        number(&rod, "key_peak_volt"),
        45.0 * number(&run, "key_peak_volt"),
        1e-9,
    );
    assert!(number(&rod, "range_m") > number(&run, "range_m"));
    let weak = model(&format!("{LOCK} --drive 1e-3 --series-ohm 20 {key}"));
    assert!(
        weak.data.contains("does not wake the second coil"),
        "{}",
        weak.data
    );
}

#[test]
fn metal_raises_the_resonance_as_its_mirror_does() {
    let coil = "loop --diameter 0.5 --wire 1e-3";
    let henry = number(&model(coil), "inductance_henry");
    // A plate without resistance is the mirrored loop at twice the gap, turned round.
    let run = model(&format!("{coil} --plate-gap 0.1 --metal-resistivity 1e-20"));
    let near_henry = henry - table_mutual(0.25, 0.25, 0.2);
    near(number(&run, "inductance_metal_henry"), near_henry, 1e-4);
    let ratio = (henry / near_henry).sqrt();
    near(
        number(&run, "resonance_metal_hz") / number(&run, "resonance_alone_hz"),
        ratio,
        1e-4,
    );
    // A ring without resistance takes M²/L₂, its current in its skin: L₂ = μ₀ b [ln(8b/r) − 2].
    let ring = format!("{coil} --ring-diameter 0.4 --ring-distance 0.1 --metal-resistivity 1e-11");
    let run = model(&ring);
    let own = MU_0 * 0.2 * ((8.0 * 0.2 / 1e-3_f64).ln() - 2.0);
    let taken = table_mutual(0.25, 0.2, 0.1).powi(2) / own;
    near(number(&run, "inductance_metal_henry"), henry - taken, 1e-4);
    // Driven where it was tuned, the detuned coil takes less: I = V/|R + jω ΔL|, the ring without loss.
    let run = model(&format!("{ring} --drive 5 --series-ohm 2"));
    let ohm = number(&run, "resistance_ohm") + 2.0;
    near(
        number(&run, "coil_peak_ampere_metal"),
        5.0 / ohm.hypot(TAU * 125e3 * taken),
        1e-4,
    );
    // Aluminium at 125 kHz costs Q as well.
    let run = model(&format!("{coil} --ring-diameter 0.4 --ring-distance 0.1"));
    assert!(number(&run, "q_metal") < number(&run, "q_alone"));
    assert!(
        run.data.contains("Metal moves the resonance by +"),
        "{}",
        run.data
    );
}

#[test]
fn tolerances_of_the_tuned_ring() {
    let words =
        format!("{LOCK} --series-ohm 20 --drive 5 --tolerance inductance=3%,capacitance=0.05");
    let run = model(&words);
    let f0 = number(&run, "resonance_nominal_hz");
    near(f0, 125e3, 1e-9);
    // f₀ ∝ (LC)^−½ and an even spread has 1/√3 of its tolerance: first order. The capacitor is all but 2 % of the capacitance.
    let share = number(&run, "tuning_farad");
    let share = (share - number(&run, "self_capacitance_farad")) / share;
    let capacitor = 0.05 * share;
    let sigma = 0.5 * f0 * ((0.03_f64.powi(2) + capacitor.powi(2)) / 3.0).sqrt();
    near(number(&run, "resonance_first_order_hz"), sigma, 2e-3);
    near(number(&run, "resonance_std_dev_hz"), sigma, 0.02);
    near(
        number(&run, "resonance_least_hz"),
        f0 / (1.03 * (1.0 + capacitor)).sqrt(),
        1e-9,
    );
    near(
        number(&run, "resonance_most_hz"),
        f0 / (0.97 * (1.0 - capacitor)).sqrt(),
        1e-9,
    );
    let part = capacitor.powi(2) / (capacitor.powi(2) + 9e-4);
    near(number(&run, "resonance_share_capacitance"), part, 5e-3);
    assert!(
        run.data
            .contains("resonance comes mostly from the capacitance")
    );
    // Q = √(L/C)/R.
    near(
        number(&run, "q_least") / number(&run, "q_nominal"),
        (0.97 / (1.0 + capacitor)).sqrt(),
        1e-9,
    );
    // At the top of the resonance the current only falls: the nominal circuit has the most, and the corners the least.
    near(
        number(&run, "current_most_ampere"),
        number(&run, "coil_peak_ampere"),
        1e-3,
    );
    assert!(run.data.contains("bends within these tolerances"));
    let share = number(&run, "current_share_capacitance");
    assert!((0.5..0.99).contains(&share), "{share}");
    // The same seed draws the same, another one others.
    assert_eq!(model(&words).data, run.data);
    let other = number(&model(&format!("{words} --seed 2")), "resonance_std_dev_hz");
    assert!((other - number(&run, "resonance_std_dev_hz")).abs() > 1e-6);
    // Three-sigma parts spread by a third of their tolerance.
    let normal = number(
        &model(&format!("{words} --spread three-sigma")),
        "resonance_std_dev_hz",
    );
    near(
        normal / number(&run, "resonance_std_dev_hz"),
        3.0_f64.sqrt() / 3.0,
        0.03,
    );
}
