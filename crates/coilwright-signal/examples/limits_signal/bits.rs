//! Bit error rates of Manchester and biphase, blind, through the whole chain.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::code::{biphase, manchester};
use coilwright_signal::demodulate::{KeyRead, LineCode, ListenOptions, listen};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::Run;
use crate::synthetic::Answer;

const CLOCKS: [u32; 3] = [64, 32, 16];
const SEGMENT_S: f64 = 1.0;
/// Errors to count for a cell, and bits at least.
const ERRORS: f64 = 250.0;
const LEAST_BITS: usize = 200_000;

/// Prints the error rates and the loss against theory.
pub(crate) fn report(run: Run) {
    println!("## Bit error rate\n");
    println!(
        "Random data at depth 2 %, on an axis of 0.4 rad, from raw samples at 1 MS/s in stretches of 1 s through"
    );
    println!(
        "`listen` with nothing given but the carrier within 2.3 Hz: bit length, axis, clock and timing are found blind."
    );
    println!(
        "Eb/N0 = m² SNR fs T / 2. Theory: Manchester Q = Q(√(2 Eb/N0)), biphase 2Q(1 − Q). The loss is the Eb/N0"
    );
    println!(
        "that theory would need less; ± is one standard deviation of the count. The bar is 0.25 dB.\n"
    );
    for code in [LineCode::Manchester, LineCode::Biphase] {
        println!("### {code:?}\n");
        print!("| Eb/N0 | theory |");
        for clocks in CLOCKS {
            print!(" RF/{clocks}: errors / bits | rate | loss dB |");
        }
        println!("\n|---|---|{}", "---|---|---|".repeat(CLOCKS.len()));
        for eb_n0_db in 4..=8 {
            print!(
                "| {eb_n0_db} dB | {:.3e} |",
                theory(code, f64::from(eb_n0_db))
            );
            for clocks in CLOCKS {
                print_cell(run, code, clocks, f64::from(eb_n0_db));
            }
            println!();
        }
        println!();
    }
}

fn print_cell(run: Run, code: LineCode, clocks: u32, eb_n0_db: f64) {
    let wanted = run.trials(((ERRORS / theory(code, eb_n0_db)) as usize).max(LEAST_BITS));
    let seed = run.seed.wrapping_mul(10_000) + u64::from(clocks) * 100 + eb_n0_db as u64;
    let counted = Counted::of(code, (clocks, None), eb_n0_db, wanted, seed);
    print!(" {} / {}", counted.errors, counted.bits);
    counted.print_lost();
    let (loss, spread) = counted.loss_db(code, eb_n0_db);
    print!(" | {:.3e} | {loss:.2} ± {spread:.2} |", counted.rate());
}

/// Wrong bits and bits of many stretches, and stretches in which nothing or another rate was found.
pub(crate) struct Counted {
    errors: usize,
    bits: usize,
    lost: usize,
}

impl Counted {
    /// At least `wanted` bits sent at `sent_db`, or what there is once 20 stretches are lost.
    pub(crate) fn of(
        code: LineCode,
        link: Link,
        sent_db: f64,
        wanted: usize,
        mut seed: u64,
    ) -> Self {
        let mut counted = Self {
            errors: 0,
            bits: 0,
            lost: 0,
        };
        while counted.bits < wanted && counted.lost < 20 {
            seed = seed.wrapping_add(1_000_003);
            match count(code, link, sent_db, seed) {
                Some((wrong, all)) => {
                    counted.errors += wrong;
                    counted.bits += all;
                }
                None => counted.lost += 1,
            }
        }
        counted
    }

    fn rate(&self) -> f64 {
        self.errors as f64 / self.bits.max(1) as f64
    }

    /// How much less theory needs for this rate than `eb_n0_db`, and one standard deviation by the count.
    ///
    /// Of biphase a wrong symbol makes the bits on both its sides wrong: half as many errors are independent.
    pub(crate) fn loss_db(&self, code: LineCode, eb_n0_db: f64) -> (f64, f64) {
        let rate = self.rate();
        let independent = match code {
            LineCode::Biphase => self.errors / 2,
            _ => self.errors,
        };
        let fewer = rate * (1.0 - 1.0 / (independent.max(2) as f64).sqrt());
        (
            eb_n0_db - needed(code, rate),
            needed(code, fewer) - needed(code, rate),
        )
    }

    pub(crate) fn print_lost(&self) {
        if self.lost > 0 {
            print!(" ({} stretches lost)", self.lost);
        }
    }
}

/// A bit length, and resonance over carrier and Q of a ring before the key.
pub(crate) type Link = (u32, Option<(f64, f64)>);

/// Wrong bits and bits of one stretch, or `None` when nothing or another rate was found.
fn count(code: LineCode, (clocks, ring): Link, eb_n0_db: f64, seed: u64) -> Option<(usize, usize)> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let length = (SEGMENT_S * 140e3 / f64::from(clocks)) as usize + 8;
    let data: Vec<u8> = (0..length)
        .map(|_| u8::from(random.random::<bool>()))
        .collect();
    let levels = match code {
        LineCode::Manchester => manchester::encode(&data, manchester::Convention::Thomas),
        _ => biphase::encode(&data, biphase::Convention::Space, 0),
    };
    let mut answer = Answer::new(levels, clocks.into());
    if ring.is_some() {
        answer.sample_rate_hz = 500e3;
    }
    let mut answer = answer.with_eb_n0(eb_n0_db);
    answer.seed = seed;
    answer.delay_s = -random.random::<f64>() * 2e-3;
    answer.carrier_hz += random.random::<f64>() * 50.0 - 25.0;
    answer.ring = ring.map(|(tuning, q)| (tuning * answer.carrier_hz, q));
    let samples = answer.samples(SEGMENT_S);
    let carrier = Carrier::direct(answer.carrier_hz + 2.3);
    let heard = listen(
        &samples,
        SampleKind::Real,
        answer.sample_rate_hz,
        0,
        &carrier,
        &ListenOptions::default(),
    );
    let key = heard
        .keys
        .first()
        .filter(|key| key.clocks_per_bit == clocks)?;
    Some(compare(key, code, &data, &answer))
}

/// The bits that were read against those that were sent at the same time.
fn compare(key: &KeyRead, code: LineCode, data: &[u8], answer: &Answer) -> (usize, usize) {
    let period = answer.sample_rate_hz * answer.clocks_per_bit / answer.carrier_hz;
    let at = |index: f64| {
        (key.bit_times.first - answer.delay_s * answer.sample_rate_hz) / period + index
    };
    let mut wrong = 0;
    let mut bits = 0;
    let read: Vec<(f64, u8)> = if code == LineCode::Biphase {
        // A biphase bit lies between two symbols and is 1 when they differ.
        let pairs = key.bits.windows(2).enumerate();
        pairs
            .map(|(k, pair)| (at(k as f64 + 0.5), pair[0] ^ pair[1]))
            .collect()
    } else {
        let bits = key.bits.iter().enumerate();
        bits.map(|(k, &bit)| (at(k as f64), bit)).collect()
    };
    for (place, bit) in read {
        if let Some(&sent) = data.get(place.round().max(0.0) as usize) {
            wrong += usize::from(sent != bit);
            bits += 1;
        }
    }
    (wrong, bits)
}

pub(crate) fn theory(code: LineCode, eb_n0_db: f64) -> f64 {
    let q = tail((2.0 * 10.0_f64.powf(eb_n0_db / 10.0)).sqrt());
    match code {
        LineCode::Manchester => q,
        _ => 2.0 * q * (1.0 - q),
    }
}

/// The Eb/N0 in decibels at which theory gives this error rate.
pub(crate) fn needed(code: LineCode, rate: f64) -> f64 {
    let (mut low, mut high) = (-10.0, 14.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if theory(code, middle) > rate {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// Q(x), the tail of the normal distribution, by its integral (Craig 1991): (1/π) ∫ exp(−x²/(2 sin²θ)) dθ, 0 to π/2.
pub(crate) fn tail(x: f64) -> f64 {
    const STEPS: u32 = 2000;
    let step = std::f64::consts::FRAC_PI_2 / f64::from(STEPS);
    let sum: f64 = (0..STEPS)
        .map(|k| (-x * x / (2.0 * ((f64::from(k) + 0.5) * step).sin().powi(2))).exp())
        .sum();
    sum * step / std::f64::consts::PI
}
