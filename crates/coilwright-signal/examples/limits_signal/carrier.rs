//! Carrier frequency against the Cramér–Rao bound.

use std::f64::consts::TAU;

use coilwright_signal::carrier::estimate_tone;
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, StandardNormal};

use crate::Run;

const SAMPLE_RATE_HZ: f64 = 1e6;
const LENGTHS: [usize; 5] = [256, 1024, 4096, 16_384, 65_536];

/// Prints the table of root mean square errors over the bound.
pub(crate) fn report(run: Run) {
    println!("## Carrier frequency\n");
    println!(
        "A real tone near 125 kHz at 1 MS/s, with a random place between bins and phase, an offset and a slope, in"
    );
    println!("white noise. Root mean square error of `estimate_tone` over the Cramér–Rao bound");
    println!("√(24 σ² / (A² N (N² − 1))) fs / 2π; SNR = A² / 2σ². The bar is 1.1.\n");
    print!("| SNR |");
    for length in LENGTHS {
        print!(" N = {length} |");
    }
    println!("\n|---|{}", "---|".repeat(LENGTHS.len()));
    for snr_db in (0_u32..=90).step_by(10) {
        print!("| {snr_db} dB |");
        for length in LENGTHS {
            let trials = run.trials(if length > 10_000 { 300 } else { 1000 });
            print!(
                " {:.3} |",
                ratio(
                    run.seed + u64::from(snr_db),
                    length,
                    f64::from(snr_db),
                    trials
                )
            );
        }
        println!();
    }
    println!(
        "\nWith 1000 trials (300 from N = 16384 on) each entry is itself uncertain by 2 % (4 %).\n"
    );
}

fn ratio(seed: u64, length: usize, snr_db: f64, trials: usize) -> f64 {
    let mut random = ChaCha8Rng::seed_from_u64(seed.wrapping_mul(1000) + length as u64);
    let amplitude = 0.5;
    let sigma = amplitude / 2.0_f64.sqrt() * 10.0_f64.powf(-snr_db / 20.0);
    let n = length as f64;
    let bound_hz = (24.0 * sigma * sigma / (amplitude * amplitude * n * (n * n - 1.0))).sqrt()
        * SAMPLE_RATE_HZ
        / TAU;
    let squares: f64 = (0..trials)
        .map(|_| {
            let true_hz = 125_000.0 + (random.random::<f64>() - 0.5) * SAMPLE_RATE_HZ / n;
            let phase = random.random::<f64>() * TAU;
            let samples: Vec<f32> = (0..length)
                .map(|k| {
                    let noise: f64 = StandardNormal.sample(&mut random);
                    let angle = TAU * (true_hz / SAMPLE_RATE_HZ * k as f64).fract() + phase;
                    (amplitude * angle.cos() + 0.1 + 0.02 * k as f64 / n + sigma * noise) as f32
                })
                .collect();
            let error = estimate_tone(&samples, SAMPLE_RATE_HZ, (100e3, 150e3))
                .map_or(f64::INFINITY, |tone| tone.frequency_hz.value - true_hz);
            error * error
        })
        .sum();
    (squares / trials as f64).sqrt() / bound_hz
}
