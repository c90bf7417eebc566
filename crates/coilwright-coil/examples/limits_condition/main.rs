//! Monte Carlo report: conditions of simulated coils and what is made of them, as a confusion table.
//!
//! `cargo run -p coilwright-coil --release --example limits_condition [COILS] [SEED]` prints Markdown. Where ngspice is installed, it
//! simulates as many coils again.

#![expect(clippy::expect_used, reason = "a report stops at the first surprise")]

mod bench;
mod coil;
mod fault;
mod measure;
mod netlist;
mod ngspice;
mod swept;
mod table;

use bench::Origin;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

fn main() {
    let mut arguments = std::env::args()
        .skip(1)
        .map(|a| a.parse::<u64>().expect("a whole number"));
    let coils = arguments.next().unwrap_or(20) as usize;
    let seed = arguments.next().unwrap_or(4711);
    for (origin, title) in [
        (Origin::Equations, "Coils by their equations"),
        (Origin::Ngspice, "Coils in ngspice"),
    ] {
        if origin == Origin::Ngspice && !ngspice::is_installed() {
            println!("\nngspice is not installed: no coils from it.");
            continue;
        }
        let mut random = ChaCha8Rng::seed_from_u64(seed ^ origin as u64);
        let rows = table::judge_all(coils, origin, &mut random);
        println!("\n## {title}\n\n{} coils, seed {seed}.", rows.len());
        table::print(&rows);
    }
}
