//! Error over bound for each Q and signal-to-noise ratio.

use std::fmt::Write;

use crate::case::{Case, Kind};
use crate::cell::{Cell, run};

const QS: [f64; 8] = [3.0, 5.0, 10.0, 20.0, 30.0, 50.0, 100.0, 150.0];
const SNRS_DB: [f64; 5] = [20.0, 30.0, 40.0, 50.0, 60.0];

pub(crate) fn table(title: &str, kind: Kind, trials: usize, seed: u64) {
    println!("\n## {title}\n");
    let heads: Vec<String> = SNRS_DB.iter().map(|s| format!("{s} dB")).collect();
    let head = format!(
        "| Q | {} |\n|---|{}",
        heads.join(" | "),
        "---|".repeat(SNRS_DB.len())
    );
    println!("{head}");
    let (mut cells, mut coverage) = (Vec::new(), String::new());
    for q in QS {
        let of = |&snr: &f64| {
            let seed = seed ^ (q as u64) << 8 ^ snr as u64;
            (q, snr, run(&Case::new(kind, q, snr), trials, seed))
        };
        let row: Vec<(f64, f64, Cell)> = SNRS_DB.iter().map(of).collect();
        let text = |of: &dyn Fn(&Cell) -> String| -> String {
            let each: Vec<String> = row.iter().map(|(.., cell)| of(cell)).collect();
            each.join(" | ")
        };
        println!(
            "| {q} | {} |",
            text(&|c| format!("{:.2} / {:.2}", c.resonance, c.q))
        );
        let held = text(&|c| format!("{:.1}", 100.0 * c.coverage));
        writeln!(coverage, "| {q} | {held} |").expect("a string takes any text");
        cells.extend(row);
    }
    println!();
    for (name, of) in [
        (
            "Largest ratio",
            &(|c: &Cell| c.resonance.max(c.q)) as &dyn Fn(&Cell) -> f64,
        ),
        ("Most trials without a result, %", &|c| 100.0 * c.failed),
        ("Most trials with a second mode, %", &|c| {
            100.0 * c.second_modes
        }),
        ("Fewest intervals that held, %", &|c| -100.0 * c.coverage),
        ("Most intervals that held, %", &|c| 100.0 * c.coverage),
    ] {
        let worst = cells.iter().max_by(|a, b| of(&a.2).total_cmp(&of(&b.2)));
        let (q, snr, cell) = worst.expect("cells");
        println!("{name}: {:.2} at Q {q}, {snr} dB.", of(cell).abs());
    }
    println!("\nCoverage of the 95 % intervals (resonance and Q together), %:\n");
    println!("{head}\n{coverage}");
}
