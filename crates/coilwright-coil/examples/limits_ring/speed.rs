//! Time of one fit.

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::time::Instant;

use crate::case::{Case, Kind};

pub(crate) fn speed() {
    println!("\n## Time of one fit\n\nOne core; best of 200.\n");
    println!("| record | samples | time, µs |\n|---|---|---|");
    for (name, kind, q) in [
        ("free decay, Q 20", Kind::RingDown, 20.0),
        ("free decay, Q 80", Kind::RingDown, 80.4),
        ("turn-off, Q 20", Kind::TurnOff, 20.0),
        ("turn-on, Q 20", Kind::TurnOn, 20.0),
    ] {
        let case = Case::new(kind, q, 40.0);
        let record = case.record(0.3, &mut ChaCha8Rng::seed_from_u64(1));
        let best = (0..200)
            .map(|_| {
                let start = Instant::now();
                let fit = case.fit(&[&record]);
                let spent = start.elapsed().as_secs_f64();
                assert!(fit.is_ok());
                spent
            })
            .fold(f64::INFINITY, f64::min);
        println!("| {name} | {} | {:.0} |", record.len(), 1e6 * best);
    }
}
