//! Monte Carlo report: eight-bit ring-downs, two modes, and the estimators in frequency, against their bounds.
//!
//! `cargo run -p coilwright-coil --release --example limits_coil [TRIALS] [SEED]` prints Markdown.

#![expect(clippy::expect_used, reason = "a report stops at the first surprise")]

mod frequency;
mod injection;
mod mild;
mod ring;

fn main() {
    let mut arguments = std::env::args()
        .skip(1)
        .map(|a| a.parse::<u64>().expect("a whole number"));
    let trials = arguments.next().unwrap_or(1000) as usize;
    let seed = arguments.next().unwrap_or(4711);
    println!(
        "{trials} trials a cell, seed {seed}; a ratio has a standard error of {:.1} %, a coverage of {:.1} %.",
        70.7 / (trials as f64).sqrt(),
        100.0 * (0.05 * 0.95 / trials as f64).sqrt()
    );
    ring::eight_bits(trials, seed);
    ring::two_modes(trials, seed + 1);
    frequency::tables(trials, seed + 2);
    injection::table((trials / 20).max(1), seed + 5);
    mild::table(trials, seed + 4);
    ring::time(seed + 3);
}
