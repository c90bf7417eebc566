//! Models of coils on the command line, against published tables and closed forms.

use std::f64::consts::{PI, TAU};

use crate::coil::{number, valid};
use crate::{Run, coilwright};

const GAUGES: &str = include_str!("../../../../testdata/published/coil/awg_copper.csv");
const SECTIONS: &str = include_str!("../../../../testdata/published/coil/multilayer_spiral.csv");
pub(crate) const MU_0: f64 = 4e-7 * PI;
/// A coil round a lock.
pub(crate) const LOCK: &str = "multilayer --diameter 35e-3 --turns 100 --layers 5 --wire 0.2e-3";

/// The command with these words.
pub(crate) fn run(words: &str) -> Run {
    let words: Vec<&str> = ["coil", "model"]
        .into_iter()
        .chain(words.split_whitespace())
        .collect();
    coilwright(&words)
}

/// The same as JSON that follows the schema.
pub(crate) fn model(words: &str) -> Run {
    let run = run(&format!("{words} --json"));
    assert_eq!(run.code, 0, "{words}: {}", run.messages);
    valid(&run);
    run
}

#[track_caller]
pub(crate) fn near(found: f64, expected: f64, relative: f64) {
    assert!(
        (found / expected - 1.0).abs() <= relative,
        "found {found:e}, expected {expected:e}"
    );
}

/// Numbers of the lines of a table whose first field begins so; other fields are not a number.
pub(crate) fn rows(text: &'static str, first: &'static str) -> impl Iterator<Item = Vec<f64>> {
    text.lines()
        .skip(1)
        .filter(move |line| line.starts_with(first))
        .map(|line| {
            line.split(',')
                .map(|field| field.parse().unwrap_or(f64::NAN))
                .collect()
        })
}

#[test]
fn gauges_have_the_resistances_of_the_wire_table() {
    // Resistance of a metre at 20 °C and the skin effect at 125 kHz, both of the table made from ASTM B258 and Bessel functions.
    for gauge in [10, 20, 24, 28, 30, 40] {
        let row = rows(GAUGES, "").find(|row| row[0] as u32 == gauge).unwrap();
        let run = model(&format!("loop --diameter 2 --gauge {gauge}"));
        let direct = number(&run, "direct_ohm");
        near(direct / number(&run, "wire_length_m"), row[4], 2e-4);
        near(number(&run, "resistance_ohm") / direct, row[6], 2e-6);
    }
    let double_nought = model("loop --diameter 2 --gauge 00");
    // 0.3648 inch by the standard's formula.
    let area = 0.25 * PI * (0.364_796_f64 * 0.0254).powi(2);
    near(
        number(&double_nought, "direct_ohm"),
        1.7241e-8 * TAU / area,
        1e-5,
    );
}

#[test]
fn wire_gets_warmer_or_is_of_aluminium() {
    let of = |more: &str| number(&model(&format!("{LOCK} {more}")), "direct_ohm");
    let cold = of("");
    // 0.00393 per kelvin of copper, 0.00403 of aluminium of 61 % IACS.
    near(of("--temperature 80") / cold, 1.0 + 0.003_93 * 60.0, 1e-9);
    near(of("--temperature -40") / cold, 1.0 - 0.003_93 * 60.0, 1e-9);
    near(of("--temperature 200") / cold, 1.0 + 0.003_93 * 180.0, 1e-9);
    let ratio = 2.8264 / 1.7241 * (1.0 + 0.004_03 * 60.0);
    near(of("--metal aluminium --temperature 80") / cold, ratio, 1e-9);
}

#[test]
fn litz_and_square_wire() {
    let solid = model("multilayer --diameter 35e-3 --turns 60 --layers 3 --wire 0.4e-3");
    // 32 strands of 71 µm have the copper of 0.4 mm within a per cent.
    let litz = model(
        "multilayer --diameter 35e-3 --turns 60 --layers 3 --wire 71e-6 --strands 32 --bundle 0.44e-3 --pitch 0.44e-3",
    );
    let per_metre = |run: &Run| number(run, "direct_ohm") / number(run, "wire_length_m");
    near(
        per_metre(&litz),
        4.0 * 1.7241e-8 / (PI * 32.0 * 71e-6_f64.powi(2)),
        1e-9,
    );
    let loss = |run: &Run| number(run, "resistance_ohm") / number(run, "direct_ohm");
    assert!(
        loss(&litz) < 1.3 && loss(&solid) > 2.0,
        "{} {}",
        loss(&litz),
        loss(&solid)
    );
    // The default bundle holds its strands.
    assert!(number(&model(&format!("{LOCK} --strands 30 --pitch 2e-3")), "q") > 1.0);

    let square = model("loop --diameter 0.5 --square 2e-3");
    near(per_metre(&square), 1.7241e-8 / 4e-6, 1e-9);
    // μ₀ a [ln(8a/0.44705 s) − 2] (Rosa and Grover 1912, from memory).
    let henry = MU_0 * 0.25 * ((8.0 * 0.25 / (0.447_05 * 2e-3_f64)).ln() - 2.0);
    near(number(&square, "inductance_henry"), henry, 1e-5);
    assert!(
        square
            .data
            .contains("no formula here for the skin effect of square wire")
    );
    let refused = run("loop --diameter 0.5 --square 2e-3 --drive 5");
    assert_eq!(refused.code, 2);
    assert!(
        refused.messages.contains("--coil-ohm"),
        "{}",
        refused.messages
    );
    let measured = model("loop --diameter 0.5 --square 2e-3 --drive 5 --coil-ohm 0.05");
    near(number(&measured, "coil_peak_ampere"), 100.0, 1e-6);
}

#[test]
fn a_loop_has_the_inductance_of_its_skin() {
    // 5 mm wire at 125 kHz is 27 skin depths thick: μ₀ a [ln(8a/r) − 2 + ¼ L_i/L_i0], L_i/L_i0 = 4δ/d for thick wire.
    let run = model("loop --diameter 0.5 --wire 5e-3");
    let depth = (1.7241e-8 / (PI * 125e3 * MU_0)).sqrt();
    let shape = (8.0 * 0.25 / 2.5e-3_f64).ln() - 2.0 + depth / 5e-3;
    near(number(&run, "inductance_henry"), MU_0 * 0.25 * shape, 3e-4);
}

#[test]
fn layers_and_spirals_have_the_inductance_of_their_section() {
    // a 17.5 mm, b 10 mm, c 5 mm of the table, wound with 800 turns; wire has μ₀ a N (ln(p/d) + 0.13806 + 0.0172) more (Rosa).
    let row = rows(SECTIONS, "multilayer")
        .find(|row| row[1..4] == [0.0175, 0.01, 0.005])
        .unwrap();
    let run =
        model("multilayer --diameter 30e-3 --turns 800 --layers 20 --wire 0.2e-3 --pitch 0.25e-3");
    let wire = MU_0 * 0.0175 * 800.0 * (1.25_f64.ln() + 0.138_06 + 0.0172);
    near(
        number(&run, "inductance_henry"),
        800.0 * 800.0 * row[4] + wire,
        1e-3,
    );

    // A spiral of wire, against Mohan's sheet, good to 3 %.
    let words = "spiral --inner 10e-3 --outer 40e-3 --turns 20";
    let sheet = number(&model(words), "inductance_henry");
    let wound = model(&format!("{words} --wire 0.5e-3"));
    near(number(&wound, "inductance_henry"), sheet, 0.03);
    near(number(&wound, "wire_length_m"), 20.0 * PI * 25e-3, 1e-9);
    assert!(number(&wound, "q") > 5.0);
    // Mohan's square: 1.27 μ₀ N² d/2 [ln(2.07/ρ) + 0.18 ρ + 0.13 ρ²].
    let square = number(
        &model(&format!("{words} --outline square")),
        "inductance_henry",
    );
    let shape = (2.07_f64 / 0.6).ln() + 0.18 * 0.6 + 0.13 * 0.36;
    near(square, 0.5 * MU_0 * 400.0 * 25e-3 * 1.27 * shape, 1e-9);
}

#[test]
fn a_rectangle_of_several_turns() {
    let one = model("rectangle --width 0.2 --height 0.2 --gauge 26");
    let twenty = model("rectangle --width 0.2 --height 0.2 --turns 20 --layers 2 --gauge 26");
    near(number(&twenty, "wire_length_m"), 16.0, 1e-9);
    near(number(&one, "wire_length_m"), 0.8, 1e-9);
    // A round coil of the same wire, perimeter and bundle has nearly the same loss: what differs is far away.
    let diameter = 0.8 / PI;
    let pitch = 1.1 * 0.404_9e-3;
    let round = model(&format!(
        "multilayer --diameter {} --turns 20 --layers 2 --gauge 26",
        diameter - 2.0 * pitch
    ));
    near(
        number(&twenty, "resistance_ohm"),
        number(&round, "resistance_ohm"),
        0.02,
    );
    assert!(number(&twenty, "resistance_ohm") > 1.5 * 20.0 * number(&one, "resistance_ohm"));
    // Grover's rectangle with the bundle's mean distance, 0.2236 (b + c) for a long one (Rosa and Grover 1912, from memory).
    let (b, c) = (10.0 * pitch, 2.0 * pitch);
    let (g, a) = (0.2236 * (b + c), 0.2_f64);
    let henry = 2.0 * MU_0 / PI * a * ((2.0 * a / g).ln() - 2.0 + 2.0_f64.sqrt() - 1.0_f64.asinh());
    near(number(&twenty, "inductance_henry"), 400.0 * henry, 3e-3);
}

#[test]
fn a_ferrite_rod_is_its_demagnetisation() {
    // Osborn's factor of ten diameters, 0.0203 (from memory): a very permeable rod has 1/N.
    let run = model("rod --length 8e-3 --diameter 0.8e-3 --permeability 1e6 --turns 300");
    near(number(&run, "demagnetising_factor"), 0.0203, 3e-3);
    let apparent = number(&run, "rod_permeability");
    near(apparent, 1.0 / 0.0203, 3e-3);
    let volt = TAU * 125e3 * 300.0 * 0.25 * PI * 0.64e-6 * apparent * 1e-6;
    near(number(&run, "volt_per_microtesla"), volt, 1e-9);
}
