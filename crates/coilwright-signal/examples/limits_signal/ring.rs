//! Bit error rates of keys behind a narrow ring, blind, against the matched-filter bound of the smeared pulse.

use std::f64::consts::PI;

use coilwright_signal::demodulate::LineCode;
use num_complex::Complex64;

use crate::Run;
use crate::bits::{Counted, Link, theory};

/// Bit length, resonance over carrier, Q.
const LINKS: [(u32, f64, f64); 7] = [
    (64, 1.0, 5.0),
    (64, 1.0, 20.0),
    (64, 1.0, 50.0),
    (32, 1.0, 20.0),
    (64, 1.015, 20.0),
    (64, 1.015, 50.0),
    (32, 1.0, 50.0),
];
/// Errors to count for a cell, and bits at most.
const ERRORS: f64 = 200.0;
const MOST_BITS: usize = 400_000;

/// Prints the error rates behind rings and the loss against the bound.
pub(crate) fn report(run: Run) {
    println!("## Keys behind a narrow ring\n");
    println!(
        "As above, with the deviation filtered by the ring's pole p = 2π (f0/2Q − j (f0 − fc)), which is not given to"
    );
    println!(
        "`listen`. A Manchester symbol becomes ψ = s ∗ p e^(−pt) with the energy E = ∫|ψ|² over that of s; for f0 = fc it is"
    );
    println!(
        "1 − 3/pT + 4 e^(−pT/2)/pT − e^(−pT)/pT. Eb/N0 is that of the smeared pulse, m² E SNR fs T / 2. No receiver errs less"
    );
    println!(
        "often than one that sees each pulse alone (matched-filter bound): Q(√(2 Eb/N0)), and 2Q(1 − Q) for biphase. The loss"
    );
    println!("is against that bound; the bar is 1.0 dB at Q 20 and 50 (RF/64) and Q 20 (RF/32).\n");
    for code in [LineCode::Manchester, LineCode::Biphase] {
        println!("### {code:?} behind a ring\n");
        print!("| bit, f0/fc, Q | E dB |");
        for eb_n0_db in 4..=8 {
            print!(" loss at {eb_n0_db} dB |");
        }
        println!("\n|---|---|{}", "---|".repeat(5));
        for (clocks, tuning, q) in LINKS {
            let energy_db = energy_db(clocks, tuning, q);
            print!("| RF/{clocks}, {tuning}, {q} | {energy_db:.2} |");
            for eb_n0_db in 4..=8 {
                let sent_db = f64::from(eb_n0_db) - energy_db;
                cell(
                    run,
                    code,
                    (clocks, Some((tuning, q))),
                    (f64::from(eb_n0_db), sent_db),
                );
            }
            println!();
        }
        println!();
    }
}

fn cell(run: Run, code: LineCode, link: Link, (eb_n0_db, sent_db): (f64, f64)) {
    let wanted = run.trials(((ERRORS / theory(code, eb_n0_db)) as usize).clamp(20_000, MOST_BITS));
    let seed = run.seed.wrapping_mul(20_000) + u64::from(link.0) * 100 + eb_n0_db as u64;
    let counted = Counted::of(code, link, sent_db, wanted, seed);
    let (loss, spread) = counted.loss_db(code, eb_n0_db);
    print!(" {loss:.2} ± {spread:.2}");
    counted.print_lost();
    print!(" |");
}

/// Energy of the smeared symbol over the plain one in decibels: its power spectrum behind the pole, summed.
fn energy_db(clocks: u32, tuning: f64, q: f64) -> f64 {
    const STEP: f64 = 1e-3;
    const WIDEST: f64 = 200.0;
    let bit_cycles = f64::from(clocks);
    let pole = 2.0 * PI * bit_cycles * Complex64::new(tuning / (2.0 * q), 1.0 - tuning);
    let steps = (2.0 * WIDEST / STEP) as usize;
    let energy: f64 = (0..steps)
        .map(|k| {
            // A Manchester symbol has |S(f)|² = sin⁴(πf/2) / (πf/2)², f in units of the bit rate.
            let f = (k as f64 + 0.5) * STEP - WIDEST;
            let half = PI * f / 2.0;
            let gain = pole / (pole + Complex64::new(0.0, 2.0 * PI * f));
            half.sin().powi(4) / (half * half) * gain.norm_sqr() * STEP
        })
        .sum();
    10.0 * energy.log10()
}
