//! Monte Carlo report: eight-bit ring-downs, two modes, and the estimators in frequency, against their bounds.
//!
//! `cargo run -p coilwright-coil --release --example limits_coil [TRIALS] [SEED] [PART]` prints Markdown; the parts are `eight_bits`, `two_modes`,
//! `frequency`, `injection` (of a twentieth of the trials), `mild` and `time`, all unless one is named.

#![expect(clippy::expect_used, reason = "a report stops at the first surprise")]

mod frequency;
mod injection;
mod mild;
mod ring;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let mut number = |otherwise: u64| {
        let given = arguments.next();
        given.map_or(otherwise, |a| a.parse().expect("a whole number"))
    };
    let trials = number(1000) as usize;
    let seed = number(4711);
    let chosen = arguments.next();
    let wanted = |part: &str| chosen.as_deref().is_none_or(|chosen| chosen == part);
    println!(
        "{trials} trials a cell, seed {seed}; a ratio has a standard error of {:.1} %, a coverage of {:.1} %.",
        70.7 / (trials as f64).sqrt(),
        100.0 * (0.05 * 0.95 / trials as f64).sqrt()
    );
    if wanted("eight_bits") {
        ring::eight_bits(trials, seed);
    }
    if wanted("two_modes") {
        ring::two_modes(trials, seed + 1);
    }
    if wanted("frequency") {
        frequency::tables(trials, seed + 2);
    }
    if wanted("injection") {
        injection::table((trials / 20).max(1), seed + 5);
    }
    if wanted("mild") {
        mild::table(trials, seed + 4);
    }
    if wanted("time") {
        ring::time(seed + 3);
    }
}
