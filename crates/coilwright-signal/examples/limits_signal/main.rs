//! How near the radio comes to its bounds: a Monte Carlo report in Markdown on standard output.
//!
//! ```text
//! cargo run --release -p coilwright-signal --example limits_signal -- [SEED] [SHARE]
//! ```
//!
//! `SEED` is 1 unless given; `SHARE` scales the number of trials (0.1 for a quick look).

mod bits;
mod carrier;
mod detection;
#[path = "../../tests/all/synthetic.rs"]
#[expect(dead_code, reason = "the tests use more of it")]
mod synthetic;

/// What a run is made with.
#[derive(Clone, Copy)]
struct Run {
    seed: u64,
    share: f64,
}

impl Run {
    fn trials(self, full: usize) -> usize {
        ((full as f64 * self.share) as usize).max(2)
    }
}

fn main() {
    let mut arguments = std::env::args().skip(1);
    let seed = arguments
        .next()
        .and_then(|text| text.parse().ok())
        .unwrap_or(1);
    let share = arguments
        .next()
        .and_then(|text| text.parse().ok())
        .unwrap_or(1.0);
    let run = Run { seed, share };
    println!("# Limits of the radio\n");
    println!("Monte Carlo, seed {seed}, {share} of the full number of trials, made by\n");
    println!(
        "    cargo run --release -p coilwright-signal --example limits_signal -- {seed} {share}\n"
    );
    carrier::report(run);
    bits::report(run);
    detection::report(run);
}
