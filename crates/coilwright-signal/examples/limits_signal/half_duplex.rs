//! Frame error rates of half-duplex replies.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::demodulate::listen_in_pause;
use coilwright_signal::frame::{Iso11784, hdx};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::Run;
use crate::half_duplex_signal::HalfDuplex;

const PAUSE_S: f64 = 18e-3;
/// Replies to a cell.
const REPLIES: usize = 1000;

/// What a case is called, how much weaker the 1 is and by how much the reply falls, in decibels.
const CASES: [(&str, f64, f64); 3] = [
    ("steady, equal tones", 0.0, 0.0),
    ("falls by 6 dB", 0.0, 6.0),
    ("falls by 6 dB, 1 weaker by 4 dB", 4.0, 6.0),
];

/// Prints frame error rates and the loss against theory.
pub(crate) fn report(run: Run) {
    println!("## Half-duplex replies\n");
    println!(
        "Telegrams of 112 random bits with start byte and CRC after a burst of the field and its ring-down, at 1 MS/s:"
    );
    println!(
        "tones within 0.5 kHz of nominal, phase between the tones at random, beginning 1 to 3 ms after the field. Tones,"
    );
    println!(
        "strength, fall, phase and begin are found from the reply. Bits wrong before any correction: a frame with one is"
    );
    println!(
        "an error. Theory: every bit non-coherent, exp(−Eb/2N0)/2, with the energy that this bit has; Eb/N0 in the table is"
    );
    println!(
        "the mean over the bits. Read: what the frame with its CRC gives. The bar is a loss of 0.5 dB.\n"
    );
    for (name, weaker_db, fall_db) in CASES {
        println!("### {name}\n");
        println!("| Eb/N0 | theory | frames with errors | rate | loss dB | read | wrong |");
        println!("|---|---|---|---|---|---|---|");
        for eb_n0_db in [8.0, 9.0, 10.0, 11.0, 12.0] {
            cell(run, weaker_db, fall_db, eb_n0_db);
        }
        println!();
    }
}

fn cell(run: Run, weaker_db: f64, fall_db: f64, eb_n0_db: f64) {
    let replies = run.trials(REPLIES);
    let (mut errors, mut read, mut wrong) = (0, 0, 0);
    let mut expected = 0.0;
    for trial in 0..replies {
        let seed = run.seed.wrapping_mul(1_000_003) + trial as u64 * 97 + eb_n0_db as u64;
        let reply = reply(weaker_db, fall_db, eb_n0_db, seed);
        expected += theory(&reply, 0.0) / replies as f64;
        let carrier = Carrier::direct(reply.field_hz);
        let samples = reply.pause(PAUSE_S);
        let heard = listen_in_pause(
            &samples,
            SampleKind::Real,
            reply.sample_rate_hz,
            0,
            &carrier,
            1.0,
        );
        let Some(key) = heard else {
            errors += 1;
            continue;
        };
        errors += usize::from(!key.bits.windows(112).any(|bits| bits == reply.bits));
        if let Some(frame) = key.frames.first() {
            read += 1;
            wrong += usize::from(frame.frame.bits != reply.bits);
        }
    }
    let rate = f64::from(errors as u32) / replies as f64;
    let example = reply(weaker_db, fall_db, eb_n0_db, run.seed);
    let loss = -shift(&example, rate);
    let spread = (rate * (1.0 - rate) / replies as f64).sqrt();
    let spread_db = 0.5 * (shift(&example, rate - spread) - shift(&example, rate + spread));
    println!(
        "| {eb_n0_db} dB | {expected:.3} | {errors} of {replies} | {rate:.3} | {loss:.2} ± {spread_db:.2} | {read} | {wrong} |"
    );
}

fn reply(weaker_db: f64, fall_db: f64, eb_n0_db: f64, seed: u64) -> HalfDuplex {
    let mut random = ChaCha8Rng::seed_from_u64(seed ^ 0x5EED);
    let fields = Iso11784 {
        animal: random.random::<bool>(),
        reserved: 0,
        data_block: false,
        country: random.random_range(0..1000),
        national: random.random_range(0..1 << 38),
        trailer: 0,
    };
    let mut reply = HalfDuplex::new(hdx::encode(&fields).to_vec());
    reply.seed = seed;
    reply.tones_hz = [134_200.0, 124_200.0].map(|hz| hz + 1000.0 * (random.random::<f64>() - 0.5));
    reply.amplitudes = [0.005, 0.005 * 10.0_f64.powf(-weaker_db / 20.0)];
    reply.fall_db = fall_db;
    reply.phase_between_rad = std::f64::consts::TAU * random.random::<f64>();
    reply.delay_s = 1e-3 + 2e-3 * random.random::<f64>();
    let starts_s = reply.bit_starts_s();
    let energy = (0..112)
        .map(|bit| energy(&reply, bit, &starts_s))
        .sum::<f64>()
        / 112.0;
    // Eb = A² T / 2 and N0 = 2 σ² / fs.
    let density = energy / 10.0_f64.powf(eb_n0_db / 10.0);
    reply.noise_rms = (density * reply.sample_rate_hz / 2.0).sqrt();
    reply
}

fn energy(reply: &HalfDuplex, bit: usize, starts_s: &[f64]) -> f64 {
    reply.amplitude(bit, starts_s).powi(2) * (starts_s[bit + 1] - starts_s[bit]) / 2.0
}

/// The frame error rate of the non-coherent receiver, with the signal stronger by so many decibels.
fn theory(reply: &HalfDuplex, stronger_db: f64) -> f64 {
    let starts_s = reply.bit_starts_s();
    let density = 2.0 * reply.noise_rms.powi(2) / reply.sample_rate_hz;
    let gain = 10.0_f64.powf(stronger_db / 10.0);
    let right =
        |bit: usize| 1.0 - 0.5 * (-gain * energy(reply, bit, &starts_s) / density / 2.0).exp();
    1.0 - (0..reply.bits.len()).map(right).product::<f64>()
}

/// By how many decibels the signal would have to be stronger for theory to give this rate.
fn shift(reply: &HalfDuplex, rate: f64) -> f64 {
    let (mut low, mut high) = (-15.0, 15.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if theory(reply, middle) > rate {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}
