//! Monte Carlo report: conditions of simulated coils and what is made of them, as a confusion table.
//!
//! `cargo run -p coilwright-coil --release --example limits_condition [COILS] [SEED]` prints Markdown.

#![expect(clippy::expect_used, reason = "a report stops at the first surprise")]

mod coil;
mod measure;
mod table;

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

fn main() {
    let mut arguments = std::env::args()
        .skip(1)
        .map(|a| a.parse::<u64>().expect("a whole number"));
    let coils = arguments.next().unwrap_or(20) as usize;
    let seed = arguments.next().unwrap_or(4711);
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let rows = table::judge_all(coils, &mut random);
    println!("{} coils, seed {seed}.", rows.len());
    table::print(&rows);
}
