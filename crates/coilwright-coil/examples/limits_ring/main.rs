//! Monte Carlo report: how near the estimators of resonance and Q come to the Cramér–Rao bound.
//!
//! `cargo run -p coilwright-coil --release --example limits_ring [TRIALS] [SEED]` prints Markdown.

#![expect(clippy::expect_used, reason = "a report stops at the first surprise")]

mod case;
mod cell;
mod speed;
mod table;
mod two_modes;
mod variations;

use case::Kind;
use speed::speed;
use table::table;
use two_modes::two_modes;
use variations::{lengths, rates, several_edges};

fn main() {
    let mut arguments = std::env::args()
        .skip(1)
        .map(|a| a.parse::<u64>().expect("a whole number"));
    let trials = arguments.next().unwrap_or(2000) as usize;
    let seed = arguments.next().unwrap_or(20_240);
    println!(
        "Root-mean-square error over the Cramér–Rao bound, as f0 / Q. {trials} trials a cell, seed {seed}."
    );
    println!(
        "125 kHz ring, 1 MS/s, white noise; the ratio of a cell has a standard error of {:.1} %.",
        70.7 / (trials as f64).sqrt()
    );
    table(
        "Free decay\n\nRecord of 5 τ; SNR is that of the first sample, A²/2σ²; DC unknown.",
        Kind::RingDown,
        trials,
        seed,
    );
    table(
        "Turn-off edge\n\nSeries-tuned ring 2 kHz above its drive, record of 6 τ from 4 samples after the edge; SNR is that of the steady carrier.",
        Kind::TurnOff,
        trials,
        seed + 1,
    );
    table(
        "Turn-on edge\n\nThe same ring; the bound knows the drive frequency, not its amplitude and phase.",
        Kind::TurnOn,
        trials,
        seed + 2,
    );
    several_edges(trials, seed + 3);
    two_modes(trials, seed + 4);
    lengths(trials, seed + 5);
    rates(trials, seed + 6);
    speed();
}
