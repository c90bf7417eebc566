//! Bit error rates on subcarriers, blind, through the whole chain.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::demodulate::{KeyRead, ListenOptions, Listening, Modulation, listen};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::Run;
use crate::bits::tail;
use crate::subcarrier_signal::{Divider, Keying, Subcarrier};

const SEGMENT_S: f64 = 0.5;
/// Errors to count for a cell, and bits at most.
const ERRORS: f64 = 250.0;
const MOST_BITS: f64 = 1.5e6;

/// Keying, bit length and what it is called.
const TONES: [(Keying, u32, &str); 4] = [
    (
        Keying::Frequency([8, 10], Divider::Restarts),
        50,
        "RF/8, RF/10 at RF/50, divider restarts",
    ),
    (
        Keying::Frequency([8, 10], Divider::GoesOn),
        64,
        "RF/8, RF/10 at RF/64, divider goes on",
    ),
    (
        Keying::Frequency([8, 10], Divider::GoesOn),
        40,
        "RF/8, RF/10 at RF/40, divider goes on",
    ),
    (
        Keying::Frequency([5, 8], Divider::GoesOn),
        64,
        "RF/5, RF/8 at RF/64, divider goes on",
    ),
];
const PHASES: [(Keying, u32, &str); 3] = [
    (Keying::Phase(2), 32, "RF/2 at RF/32"),
    (Keying::Phase(4), 32, "RF/4 at RF/32"),
    (Keying::Phase(8), 64, "RF/8 at RF/64"),
];

/// Prints the error rates and the loss against theory.
pub(crate) fn report_bits(run: Run) {
    println!("## Bit error rate on subcarriers\n");
    println!(
        "As above, in stretches of {SEGMENT_S} s, with a square subcarrier of depth 2 %; all of its energy counts."
    );
    println!(
        "Theory: two tones, non-coherent, exp(−Eb/2N0)/2, coherent Q(√(Eb/N0)); phase Q(√(2 Eb/N0))."
    );
    println!(
        "The loss of two tones is against non-coherent theory: a negative one is what the fixed phase at the start"
    );
    println!("of the bits gives. The bars are 0.5 dB for two tones and 0.3 dB for phase.\n");
    for (keying, clocks, name) in TONES.iter().chain(&PHASES) {
        println!("### {name}\n");
        println!("| Eb/N0 | theory | errors / bits | rate | loss dB |");
        println!("|---|---|---|---|---|");
        for eb_n0_db in [4.0, 5.0, 6.0, 7.0, 8.0] {
            cell(run, *keying, *clocks, eb_n0_db);
        }
        println!();
    }
}

fn cell(run: Run, keying: Keying, clocks: u32, eb_n0_db: f64) {
    let expected = theory(keying, eb_n0_db);
    let wanted = run.trials((ERRORS / expected).clamp(20_000.0, MOST_BITS) as usize);
    let (mut errors, mut bits, mut lost, mut seed) = (0, 0, 0, seed_of(run, keying, clocks));
    while bits < wanted && lost < 20 {
        seed = seed.wrapping_add(1_000_003);
        let (key_signal, heard) = heard(keying, clocks, eb_n0_db, SEGMENT_S, seed);
        match heard
            .keys
            .first()
            .filter(|key| is_right(key, keying, clocks))
        {
            Some(key) => {
                let (wrong, all) = compare(key, &key_signal);
                errors += wrong;
                bits += all;
            }
            None => lost += 1,
        }
    }
    let rate = errors as f64 / bits.max(1) as f64;
    let loss = eb_n0_db - needed(keying, rate);
    let less = rate * (1.0 - 1.0 / (errors.max(2) as f64).sqrt());
    let spread = needed(keying, less) - needed(keying, rate);
    let note = if lost > 0 {
        format!(" ({lost} stretches lost)")
    } else {
        String::new()
    };
    println!(
        "| {eb_n0_db} dB | {expected:.3e} | {errors} / {bits}{note} | {rate:.3e} | {loss:.2} ± {spread:.2} |"
    );
}

pub(crate) fn seed_of(run: Run, keying: Keying, clocks: u32) -> u64 {
    let subcarrier = match keying {
        Keying::Frequency([a, b], _) => 10 * a + b,
        Keying::Phase(a) => a,
    };
    run.seed.wrapping_mul(10_000) + u64::from(clocks) * 100 + u64::from(subcarrier)
}

/// A key with random bits, and what is heard of it.
pub(crate) fn heard(
    keying: Keying,
    clocks: u32,
    eb_n0_db: f64,
    seconds: f64,
    seed: u64,
) -> (Subcarrier, Listening) {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let length = (seconds * 140e3 / f64::from(clocks)) as usize + 8;
    let bits = (0..length)
        .map(|_| u8::from(random.random::<bool>()))
        .collect();
    let mut signal = Subcarrier::new(keying, clocks, bits);
    signal.eb_n0_db = eb_n0_db;
    signal.seed = seed;
    signal.delay_s = -random.random::<f64>() * 2e-3;
    signal.carrier_hz += random.random::<f64>() * 50.0 - 25.0;
    signal.hum = if random.random::<bool>() { 0.05 } else { 0.0 };
    let samples = signal.samples(seconds);
    let carrier = Carrier::direct(signal.carrier_hz + 2.3);
    let options = ListenOptions::default();
    let heard = listen(
        &samples,
        SampleKind::Real,
        signal.sample_rate_hz,
        0,
        &carrier,
        &options,
    );
    (signal, heard)
}

pub(crate) fn is_right(key: &KeyRead, keying: Keying, clocks: u32) -> bool {
    let modulation = match keying {
        Keying::Frequency(clocks, _) => Modulation::Fsk { clocks },
        Keying::Phase(clocks) => Modulation::Psk { clocks },
    };
    key.modulation == modulation && key.clocks_per_bit == clocks
}

/// The bits that were read against those that were sent at the same time; a phase has no sign of its own.
fn compare(key: &KeyRead, signal: &Subcarrier) -> (usize, usize) {
    let period = signal.sample_rate_hz * f64::from(signal.clocks_per_bit) / signal.carrier_hz;
    let first = (key.bit_times.first - signal.delay_s * signal.sample_rate_hz) / period;
    let mut wrong = 0;
    let mut bits = 0;
    for (k, &bit) in key.bits.iter().enumerate() {
        let place = (first + k as f64).round().max(0.0) as usize;
        if let Some(&sent) = signal.bits.get(place) {
            wrong += usize::from(sent != bit);
            bits += 1;
        }
    }
    match signal.keying {
        Keying::Phase(_) => (wrong.min(bits - wrong), bits),
        Keying::Frequency(..) => (wrong, bits),
    }
}

fn theory(keying: Keying, eb_n0_db: f64) -> f64 {
    let ratio = 10.0_f64.powf(eb_n0_db / 10.0);
    match keying {
        Keying::Frequency(..) => 0.5 * (-ratio / 2.0).exp(),
        Keying::Phase(_) => tail((2.0 * ratio).sqrt()),
    }
}

/// The Eb/N0 in decibels at which theory gives this error rate.
fn needed(keying: Keying, rate: f64) -> f64 {
    let (mut low, mut high) = (-10.0, 14.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if theory(keying, middle) > rate {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}
