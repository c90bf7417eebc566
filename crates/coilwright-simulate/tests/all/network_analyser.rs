//! Coils and rings at a network analyser's port as ngspice computes them, written as Touchstone files, read and fitted.

use coilwright_coil::{
    Background, Connection, Quantity, ReflectionOptions, ResponseOptions, TwoPort,
    fit_coil_reflection, fit_coupled_coils, fit_q_circle,
};
use coilwright_signal::table::{Touchstone, read_touchstone};
use std::f64::consts::TAU;
use std::fmt::Write;

use crate::ngspice;

/// What is asked of a resonance and of a Q.
const RESONANCE_BAR: f64 = 1e-3;
const Q_BAR: f64 = 1e-2;

/// Rows of an AC analysis: frequency, then real and imaginary part of each vector.
fn analyse(circuit: &str, vectors: &str, sweep: &str) -> Option<Vec<Vec<f64>>> {
    let netlist = format!(
        "coil at a port\n{circuit}\n.control\nset wr_singlescale\nset numdgt=12\nac {sweep}\nwrdata port.txt {vectors}\nquit\n.endc\n.end\n"
    );
    let table = ngspice::run(&netlist, "port.txt")?;
    Some(
        table
            .lines()
            .map(|line| {
                line.split_whitespace()
                    .map_while(|v| v.parse().ok())
                    .collect()
            })
            .collect(),
    )
}

/// A one-port file: the source of 2 V behind 50 Ω makes the port's voltage `1 + S11`.
fn one_port(load: &str, sweep: &str) -> Option<Touchstone> {
    let circuit = format!("V1 s 0 AC 2\nR1 s p 50\n{load}");
    let rows = analyse(&circuit, "v(p)", sweep)?;
    let mut text = String::from("! by ngspice\n# kHz S RI R 50\n");
    for row in &rows {
        writeln!(
            text,
            "{:.12e} {:.12e} {:.12e}",
            row[0] / 1e3,
            row[1] - 1.0,
            row[2]
        )
        .unwrap();
    }
    Some(read_file(&text, "ring.s1p"))
}

fn read_file(text: &str, name: &str) -> Touchstone {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join(name);
    std::fs::write(&path, text).unwrap();
    read_touchstone(&path).unwrap()
}

fn check(name: &str, found: f64, truth: f64, bar: f64) {
    let error = found / truth - 1.0;
    println!("{name}: {found:.6e}, true {truth:.6e}, error {error:.1e}");
    assert!(error.abs() < bar, "{name}: {found} {truth}");
}

#[test]
fn series_rings_at_the_port() {
    for (inductance, resonance_hz, q) in [
        (1.62e-3_f64, 125e3_f64, 12.0_f64),
        (0.7e-3, 134.2e3, 35.0),
        (0.35e-3, 119e3, 90.0),
    ] {
        let capacitance = (TAU * resonance_hz).powi(-2) / inductance;
        let resistance = TAU * resonance_hz * inductance / q;
        let load = format!("L1 p a {inductance:e}\nR2 a b {resistance:e}\nC1 b 0 {capacitance:e}");
        let Some(table) = one_port(&load, "lin 401 100k 150k") else {
            return;
        };
        let s = table.element(1, 1).unwrap();
        let fit = fit_q_circle(
            &table.frequencies_hz,
            &s,
            Connection::Reflection,
            &ResponseOptions::default(),
        )
        .unwrap();
        check(
            "f0",
            fit.response.resonance_hz.value,
            resonance_hz,
            RESONANCE_BAR,
        );
        check("Q unloaded", fit.unloaded_q.value, q, Q_BAR);
        check(
            "Q loaded",
            fit.response.q.value,
            TAU * resonance_hz * inductance / (resistance + 50.0),
            Q_BAR,
        );
    }
}

#[test]
fn a_key_coil_through_a_loop_at_the_port() {
    // A loop of 20 µH couples with 8 % to a parallel-tuned coil: the loop's reactance is background, the ring adds a circle.
    let (inductance, resonance_hz, q) = (2.4e-3_f64, 125e3_f64, 25.0_f64);
    let capacitance = (TAU * resonance_hz).powi(-2) / inductance;
    let resistance = TAU * resonance_hz * inductance / q;
    let load = format!(
        "L1 p 0 20u\nL2 a 0 {inductance:e}\nK1 L1 L2 0.08\nR2 a b {resistance:e}\nC1 b 0 {capacitance:e}"
    );
    // Over nine widths of the ring a straight line does not follow the loop's reactance, and Q comes out 4.5 % high.
    let Some(table) = one_port(&load, "lin 401 117k 134k") else {
        return;
    };
    let s = table.element(1, 1).unwrap();
    let options = ResponseOptions {
        background: Background::Sloped,
        quantity: Quantity::CoilVoltage,
        ..ResponseOptions::default()
    };
    let fit = fit_q_circle(&table.frequencies_hz, &s, Connection::Reflection, &options).unwrap();
    // The loop, loaded with 50 Ω, takes k² of the key coil's field: the loaded pole is asked for.
    let leakage = 1.0 / (1.0 + (TAU * resonance_hz * 20e-6 / 50.0).powi(2));
    let loss = 0.08_f64.powi(2) * TAU * resonance_hz * 20e-6 / 50.0 * leakage;
    check(
        "Q loaded",
        fit.response.q.value,
        (1.0 / q + loss).recip(),
        Q_BAR,
    );
    check("Q unloaded", fit.unloaded_q.value, q, Q_BAR);
    let pull = 0.5 * 0.08_f64.powi(2) * (1.0 - leakage);
    check(
        "f0 loaded",
        fit.response.resonance_hz.value,
        resonance_hz * (1.0 + pull),
        RESONANCE_BAR,
    );
}

#[test]
fn a_small_coil_untuned_at_the_port() {
    let load = "L1 p a 47u\nR2 a 0 1.9\nC1 p 0 30p";
    let Some(table) = one_port(load, "lin 201 80k 400k") else {
        return;
    };
    let s = table.element(1, 1).unwrap();
    let fit = fit_coil_reflection(
        &table.frequencies_hz,
        &s,
        50.0,
        &ReflectionOptions::default(),
    )
    .unwrap();
    check("L", fit.inductance_henry.value, 47e-6, 1e-4);
    check("R", fit.resistance_ohm.value, 1.9, Q_BAR);
    check("C", fit.capacitance_farad.unwrap().value, 30e-12, Q_BAR);
    let self_resonance_hz = (TAU * (47e-6_f64 * 30e-12).sqrt()).recip();
    check(
        "self-resonance",
        fit.resonance_hz.unwrap().value,
        self_resonance_hz,
        5e-3,
    );
}

#[test]
fn two_coupled_coils_at_two_ports() {
    let coils =
        "L1 p a 700u\nR2 a 0 6\nL2 q b 2.4m\nR3 b 0 20\nK1 L1 L2 0.02\nC1 p 0 15p\nC2 q 0 25p";
    let sweep = "lin 61 40k 200k";
    let column = |from_first: bool| {
        let (first, second) = if from_first {
            ("AC 2", "AC 0")
        } else {
            ("AC 0", "AC 2")
        };
        let circuit = format!("V1 s 0 {first}\nR1 s p 50\nV2 t 0 {second}\nR4 t q 50\n{coils}");
        analyse(&circuit, "v(p) v(q)", sweep)
    };
    let (Some(one), Some(other)) = (column(true), column(false)) else {
        return;
    };
    let mut text = String::from(
        "[Version] 2.0\n# Hz S RI R 50\n[Number of Ports] 2\n[Two-Port Data Order] 12_21\n[Number of Frequencies] 61\n[Network Data]\n",
    );
    for (a, b) in one.iter().zip(&other) {
        let rows = [
            a[0],
            a[1] - 1.0,
            a[2],
            b[1],
            b[2],
            a[3],
            a[4],
            b[3] - 1.0,
            b[4],
        ];
        let words: Vec<String> = rows.iter().map(|v| format!("{v:.12e}")).collect();
        writeln!(text, "{}", words.join(" ")).unwrap();
    }
    text += "[End]\n";
    let table = read_file(&text, "coupled.s2p");
    assert_eq!(table.warnings, []);
    let ports: Vec<TwoPort> = table
        .scattering
        .as_chunks::<4>()
        .0
        .iter()
        .map(|&[s11, s12, s21, s22]| TwoPort { s11, s21, s12, s22 })
        .collect();
    let fit = fit_coupled_coils(&table.frequencies_hz, &ports, 50.0).unwrap();
    check("k", fit.coefficient.value, 0.02, Q_BAR);
    check("L1", fit.primary_henry.value, 700e-6, Q_BAR);
    check("L2", fit.secondary_henry.value, 2.4e-3, Q_BAR);
}
