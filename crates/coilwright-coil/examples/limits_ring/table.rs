//! Error over bound for each Q and signal-to-noise ratio.

use std::fmt::Write;

use crate::case::{Case, Kind};
use crate::cell::{Cell, run};

/// Q of the bar, and the outer ones.
const QS: [f64; 7] = [3.0, 5.0, 10.0, 20.0, 30.0, 50.0, 150.0];
const SNRS_DB: [f64; 5] = [20.0, 30.0, 40.0, 50.0, 60.0];

pub(crate) fn table(title: &str, kind: Kind, trials: usize, seed: u64) {
    println!("\n## {title}\n");
    let mut worst = (0.0_f64, 0.0_f64);
    let (mut failed, mut seconds) = ((0.0_f64, 0.0_f64), 0.0_f64);
    let mut coverage = String::new();
    let heads: Vec<String> = SNRS_DB.iter().map(|s| format!("{s} dB")).collect();
    println!(
        "| Q | {} |\n|---|{}",
        heads.join(" | "),
        "---|".repeat(SNRS_DB.len())
    );
    for q in QS {
        let cells: Vec<Cell> = SNRS_DB
            .iter()
            .map(|&snr| {
                run(
                    &Case::new(kind, q, snr),
                    trials,
                    seed ^ (q as u64) << 8 ^ snr as u64,
                )
            })
            .collect();
        let text: Vec<String> = cells
            .iter()
            .map(|c| format!("{:.2} / {:.2}", c.resonance, c.q))
            .collect();
        println!("| {q} | {} |", text.join(" | "));
        let most = cells
            .iter()
            .fold(0.0_f64, |m, c| m.max(c.resonance).max(c.q));
        worst.1 = worst.1.max(most);
        if (5.0..=50.0).contains(&q) {
            worst.0 = worst.0.max(most);
        }
        let most_failed = cells.iter().fold(0.0_f64, |m, c| m.max(c.failed));
        failed.1 = failed.1.max(most_failed);
        if (5.0..=50.0).contains(&q) {
            failed.0 = failed.0.max(most_failed);
        }
        seconds = cells.iter().fold(seconds, |m, c| m.max(c.second_modes));
        let covers: Vec<String> = cells
            .iter()
            .map(|c| format!("{:.1}", 100.0 * c.coverage))
            .collect();
        writeln!(coverage, "| {q} | {} |", covers.join(" | ")).expect("a string takes any text");
    }
    println!(
        "\nLargest over Q 5 to 50: {:.2}; over Q 3 to 150: {:.2}.",
        worst.0, worst.1
    );
    println!(
        "Most trials of a cell without a result: {:.2} % over Q 5 to 50, {:.2} % over Q 3 to 150; with a second mode: {:.2} %.",
        100.0 * failed.0,
        100.0 * failed.1,
        100.0 * seconds
    );
    println!("\nCoverage of the 95 % intervals (resonance and Q together), %:\n");
    println!(
        "| Q | {} |\n|---|{}\n{coverage}",
        heads.join(" | "),
        "---|".repeat(SNRS_DB.len())
    );
}
