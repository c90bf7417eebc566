//! Times the ring-down fit of records that another program also fits: `benches/compare_ring_down.py`.
//!
//! `time_ring_down FILE SAMPLES RATE_HZ`: the file holds 32-bit little-endian floats, records of `SAMPLES` each. Prints one line a
//! record: resonance, Q, and the best of 200 times in microseconds.

#![expect(
    clippy::expect_used,
    reason = "a benchmark stops at the first surprise"
)]

use coilwright_coil::{RingDownOptions, fit_ring_down};
use std::time::Instant;

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, file, samples, rate_hz] = arguments.as_slice() else {
        eprintln!("time_ring_down FILE SAMPLES RATE_HZ");
        return;
    };
    let bytes = std::fs::read(file).expect("a readable file");
    let values: Vec<f32> = bytes
        .as_chunks::<4>()
        .0
        .iter()
        .map(|b| f32::from_le_bytes(*b))
        .collect();
    let samples: usize = samples.parse().expect("a number of samples");
    let rate_hz: f64 = rate_hz.parse().expect("a rate");
    for record in values.chunks_exact(samples) {
        let mut best = f64::INFINITY;
        let mut found = (0.0, 0.0);
        for _ in 0..200 {
            let start = Instant::now();
            let fit = fit_ring_down(&[record], rate_hz, &RingDownOptions::default());
            best = best.min(start.elapsed().as_secs_f64());
            let mode = fit.expect("a ring-down").mode;
            found = (mode.resonance_hz.value, mode.q.value);
        }
        println!("{:.6} {:.6} {:.3}", found.0, found.1, 1e6 * best);
    }
}
