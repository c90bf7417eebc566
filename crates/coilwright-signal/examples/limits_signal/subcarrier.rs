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
/// Errors to count for a cell if theory holds, and bits at least and at most.
const ERRORS: f64 = 500.0;
const LEAST_BITS: f64 = 50_000.0;
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
const PHASES: [(Keying, u32, &str); 5] = [
    (Keying::Phase(2), 32, "RF/2 at RF/32"),
    (Keying::Phase(2), 16, "RF/2 at RF/16"),
    (Keying::Phase(4), 32, "RF/4 at RF/32"),
    (Keying::Phase(4), 64, "RF/4 at RF/64"),
    (Keying::Phase(8), 64, "RF/8 at RF/64"),
];

/// Prints the error rates and the loss against theory.
pub(crate) fn report_bits(run: Run) {
    println!("## Bit error rate on subcarriers\n");
    println!("{}", TEXT.trim_end());
    let only = std::env::args().nth(4).unwrap_or_default();
    let of_name = |(_, _, name): &&(Keying, u32, &str)| name.contains(&only);
    for (keying, clocks, name) in TONES.iter().chain(&PHASES).filter(of_name) {
        println!("\n### {name}\n");
        let mut share = Vec::new();
        let mut rows = Vec::new();
        for eb_n0_db in [4.0, 5.0, 6.0, 7.0, 8.0] {
            let tally = Tally::of(run, *keying, *clocks, eb_n0_db);
            rows.push(tally.row(*keying, eb_n0_db));
            share.extend(tally.shares_db);
        }
        println!("{}\n", shares(&share));
        println!("| Eb/N0 | theory | errors / bits | rate | loss dB | loss by soft bits dB |");
        println!("|---|---|---|---|---|---|");
        println!("{}", rows.join("\n"));
    }
    println!();
}

/// What the section is about.
const TEXT: &str = "\
Random bits in stretches of 0.5 s at 1 MS/s with a square subcarrier of depth 2 %, blind, half of them with 5 % of hum at
100 Hz. The samples are those of a recorder with an anti-alias filter, whole up to 450 kHz and 74 dB down from 500 kHz on:
no harmonic of the square folds back. Eb is the energy that the modulation adds to these samples, the sum of the squares
of modulated less unmodulated samples over the number of bits; N0/2 is the variance of the noise of a sample. No receiver
of these samples reads phases with fewer errors than theory at this Eb/N0. The ideal square would add
A² m² fs T / 2, of which the band holds the share under each heading.

Theory: two tones, non-coherent, exp(−Eb/2N0)/2; phase Q(√(2 Eb/N0)). The loss of two tones is against non-coherent
theory: a negative one is what the fixed phase at the start of the bits gives, or the phase that goes on. The loss is the
Eb/N0 that theory would need less for as many errors; ± is one standard deviation of the count. The loss by soft bits is
2 Eb/N0 over their mean squared over their variance. The bars are 0.5 dB for two tones and 0.3 dB for phase.";

fn shares(shares_db: &[f64]) -> String {
    let mean = shares_db.iter().sum::<f64>() / shares_db.len().max(1) as f64;
    let least = shares_db.iter().copied().fold(f64::INFINITY, f64::min);
    let most = shares_db.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    format!(
        "The band holds {mean:.2} dB of the ideal square's energy, from {least:.2} to {most:.2} dB with the carrier's phase."
    )
}

/// What became of the bits of many stretches.
#[derive(Default)]
struct Tally {
    errors: usize,
    bits: usize,
    /// Stretches without the right modulation.
    lost: usize,
    /// Of the soft bits, relative to the mean of their stretch: the sum of the squared deviations from it.
    spread: f64,
    shares_db: Vec<f64>,
}

impl Tally {
    fn of(run: Run, keying: Keying, clocks: u32, eb_n0_db: f64) -> Self {
        let expected = theory(keying, eb_n0_db);
        let wanted = run.trials((ERRORS / expected).clamp(LEAST_BITS, MOST_BITS) as usize);
        // Each row has noise of its own.
        let mut seed = seed_of(run, keying, clocks) + 1_000_000_007 * eb_n0_db as u64;
        let mut tally = Self::default();
        while tally.bits < wanted && tally.lost < 20 {
            seed = seed.wrapping_add(1_000_003);
            let heard = heard(keying, clocks, eb_n0_db, SEGMENT_S, seed);
            let key = heard.listening.keys.first();
            match key.filter(|key| is_right(key, keying, clocks)) {
                Some(key) => tally.add(&sent_way(key, &heard.signal)),
                None => tally.lost += 1,
            }
            tally.shares_db.push(10.0 * heard.share.log10());
        }
        tally
    }

    /// Adds the soft bits of a stretch, each positive where it is right.
    fn add(&mut self, right: &[f64]) {
        let mean = right.iter().sum::<f64>() / right.len().max(1) as f64;
        let deviations = right.iter().map(|soft| (soft / mean - 1.0).powi(2));
        self.spread += deviations.sum::<f64>();
        self.errors += right.iter().filter(|&&soft| soft <= 0.0).count();
        self.bits += right.len();
    }

    fn row(&self, keying: Keying, eb_n0_db: f64) -> String {
        let bits = self.bits.max(1) as f64;
        let rate = self.errors as f64 / bits;
        let loss = eb_n0_db - needed(keying, rate);
        let less = rate * (1.0 - 1.0 / (self.errors.max(2) as f64).sqrt());
        let spread = needed(keying, less) - needed(keying, rate);
        let note = match self.lost {
            0 => String::new(),
            lost => format!(" ({lost} stretches lost)"),
        };
        let soft = match keying {
            Keying::Frequency(..) => "–".to_string(),
            Keying::Phase(_) => {
                let variance = self.spread / bits;
                let loss = eb_n0_db + 10.0 * (2.0 * variance).log10();
                let std_dev = 10.0 / 10.0_f64.ln() * ((2.0 + 4.0 * variance) / bits).sqrt();
                format!("{loss:.3} ± {std_dev:.3}")
            }
        };
        format!(
            "| {eb_n0_db} dB | {:.3e} | {} / {}{note} | {rate:.3e} | {loss:.2} ± {spread:.2} | {soft} |",
            theory(keying, eb_n0_db),
            self.errors,
            self.bits,
        )
    }
}

pub(crate) fn seed_of(run: Run, keying: Keying, clocks: u32) -> u64 {
    let subcarrier = match keying {
        Keying::Frequency([a, b], _) => 10 * a + b,
        Keying::Phase(a) => a,
    };
    run.seed.wrapping_mul(10_000) + u64::from(clocks) * 100 + u64::from(subcarrier)
}

/// A key with random bits, and what is heard of it.
pub(crate) struct Heard {
    pub signal: Subcarrier,
    pub listening: Listening,
    /// How much of the ideal square's energy the samples hold.
    pub share: f64,
}

/// What is heard of a key with random bits.
pub(crate) fn heard(keying: Keying, clocks: u32, eb_n0_db: f64, seconds: f64, seed: u64) -> Heard {
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
    let recorded = signal.recorded(seconds);
    let carrier = Carrier::direct(signal.carrier_hz + 2.3);
    let listening = listen(
        &recorded.samples,
        SampleKind::Real,
        signal.sample_rate_hz,
        0,
        &carrier,
        &ListenOptions::default(),
    );
    Heard {
        signal,
        listening,
        share: recorded.share,
    }
}

pub(crate) fn is_right(key: &KeyRead, keying: Keying, clocks: u32) -> bool {
    let modulation = match keying {
        Keying::Frequency(clocks, _) => Modulation::Fsk { clocks },
        Keying::Phase(clocks) => Modulation::Psk { clocks },
    };
    key.modulation == modulation && key.clocks_per_bit == clocks
}

/// The soft bits that were read, positive where they are what was sent at the same time; a phase has no sign of its own.
fn sent_way(key: &KeyRead, signal: &Subcarrier) -> Vec<f64> {
    let period = signal.sample_rate_hz * f64::from(signal.clocks_per_bit) / signal.carrier_hz;
    let first = (key.bit_times.first - signal.delay_s * signal.sample_rate_hz) / period;
    let mut right = Vec::new();
    for (k, &soft) in key.soft_bits.iter().enumerate() {
        let place = (first + k as f64).round().max(0.0) as usize;
        if let Some(&sent) = signal.bits.get(place) {
            let sign = if sent == 1 { 1.0 } else { -1.0 };
            right.push(sign * f64::from(soft));
        }
    }
    let wrong = right.iter().filter(|&&soft| soft <= 0.0).count();
    if matches!(signal.keying, Keying::Phase(_)) && 2 * wrong > right.len() {
        for soft in &mut right {
            *soft = -*soft;
        }
    }
    right
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
