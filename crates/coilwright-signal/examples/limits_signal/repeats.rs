//! Whole captures, blind: any bit rate and line code, and weak keys added up over their repeats.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::code::{LineCode, biphase, manchester, miller, nrz};
use coilwright_signal::demodulate::{KeyRead, ListenOptions, listen};
use coilwright_signal::frame::soft::{Coding, SoftValues, read};
use coilwright_signal::frame::{FrameKind, ReadOnly64, read_only_64};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, StandardNormal};

use crate::Run;
use crate::synthetic::Answer;

/// Eb/N0 of all repeats together, where about one frame in ten is missed.
const TOTAL_DB: f64 = 4.0;
const CLOCKS: u32 = 16;

fn sent(random: &mut ChaCha8Rng) -> [u8; 64] {
    read_only_64::encode(&ReadOnly64 {
        customer: random.random(),
        number: random.random(),
    })
}

fn levels(bits: &[u8], code: LineCode) -> Vec<u8> {
    let twice = [bits, bits].concat();
    match code {
        LineCode::Biphase => biphase::encode(&twice, biphase::Convention::Space, 0),
        LineCode::Nrz => nrz::encode(bits),
        LineCode::Miller => miller::encode(&twice, miller::Before { level: 0, bit: 0 }),
        LineCode::Manchester => manchester::encode(bits, manchester::Convention::Thomas),
    }
}

fn hear(answer: &Answer, seconds: f64) -> Option<KeyRead> {
    let samples = answer.samples(seconds);
    let carrier = Carrier::direct(answer.carrier_hz + 1.1);
    let options = ListenOptions::default();
    let heard = listen(
        &samples,
        SampleKind::Real,
        answer.sample_rate_hz,
        0,
        &carrier,
        &options,
    );
    heard.keys.into_iter().next()
}

fn is_frame(key: &KeyRead, bits: &[u8]) -> bool {
    key.frames
        .first()
        .is_some_and(|read| read.frame.bits == bits)
}

/// Prints what is read at any rate.
pub(crate) fn report_rates(run: Run) {
    println!("## Any bit rate and line code\n");
    println!(
        "64-bit frames at a bit length drawn from 8 to 128 carrier periods, in stretches of 0.3 s at 1 MS/s, blind;"
    );
    println!(
        "random axis, phase and content. Share with the right bit length, with the right line code as well, and"
    );
    println!("with the payload read; and payloads that were wrong.\n");
    println!(
        "| code | Eb/N0 | trials | bit length | line code | payload | wrong payloads |\n|---|---|---|---|---|---|---|"
    );
    for code in LineCode::ALL {
        for eb_n0_db in [3.0, 9.0] {
            let trials = run.trials(500);
            let mut random = ChaCha8Rng::seed_from_u64(run.seed + 400);
            let (mut rate, mut class, mut payload, mut wrong) = (0, 0, 0, 0);
            for _ in 0..trials {
                let bits = sent(&mut random);
                let clocks: u32 = random.random_range(8..=128);
                let mut answer =
                    Answer::new(levels(&bits, code), clocks.into()).with_eb_n0(eb_n0_db);
                answer.seed = random.random();
                answer.axis_rad = 3.0 * (random.random::<f64>() - 0.5);
                answer.delay_s = random.random::<f64>() * 1e-2;
                let Some(key) = hear(&answer, 0.3) else {
                    continue;
                };
                let right = key.clocks_per_bit == clocks;
                rate += usize::from(right);
                class += usize::from(right && key.line_code == Some(code));
                payload += usize::from(is_frame(&key, &bits));
                wrong += usize::from(!key.frames.is_empty() && !is_frame(&key, &bits));
            }
            let share = |count: usize| count as f64 / trials as f64;
            println!(
                "| {} | {eb_n0_db} dB | {trials} | {:.3} | {:.3} | {:.3} | {wrong} |",
                code.identifier(),
                share(rate),
                share(class),
                share(payload)
            );
        }
    }
    println!();
}

/// Prints what adding up gains.
pub(crate) fn report_folding(run: Run) {
    println!("## Repeats added up\n");
    println!(
        "64-bit frames, Manchester at RF/{CLOCKS}, in stretches of n frames and one bit at 1 MS/s, blind. Eb/N0 is"
    );
    println!(
        "{TOTAL_DB} dB − 10 log10 n, so that ideal adding up makes every row the same. The loss is against bits with"
    );
    println!(
        "ideal timing, a single frame of them: the Eb/N0 at which as many are missed. The bar is 0.3 dB.\n"
    );
    let ideal = Ideal::new(run);
    println!(
        "| n | Eb/N0 | trials | missed | wrong payloads | loss dB |\n|---|---|---|---|---|---|"
    );
    for n in [1_u32, 2, 4, 8, 16, 32, 64] {
        let trials = run.trials(600);
        let eb_n0_db = TOTAL_DB - 10.0 * f64::from(n).log10();
        let mut random = ChaCha8Rng::seed_from_u64(run.seed + 500 + u64::from(n));
        let (mut missed, mut wrong) = (0, 0);
        for _ in 0..trials {
            let bits = sent(&mut random);
            let mut answer = Answer::new(levels(&bits, LineCode::Manchester), CLOCKS.into())
                .with_eb_n0(eb_n0_db);
            answer.seed = random.random();
            answer.delay_s = -random.random::<f64>() * 1e-2;
            let seconds = f64::from((64 * n + 1) * CLOCKS) / answer.carrier_hz;
            match hear(&answer, seconds) {
                Some(key) if is_frame(&key, &bits) => {}
                Some(key) if !key.frames.is_empty() => wrong += 1,
                _ => missed += 1,
            }
        }
        let rate = f64::from(missed) / trials as f64;
        let spread = (rate * (1.0 - rate) / trials as f64).sqrt();
        let loss = TOTAL_DB - ideal.eb_n0_db(rate);
        let plus = TOTAL_DB - ideal.eb_n0_db(rate + spread) - loss;
        println!(
            "| {n} | {eb_n0_db:.2} dB | {trials} | {rate:.3} | {wrong} | {loss:.2} ± {plus:.2} |"
        );
    }
    println!();
}

/// The share of frames missed with ideal timing, in steps of 0.25 dB.
struct Ideal {
    missed: Vec<(f64, f64)>,
}

impl Ideal {
    fn new(run: Run) -> Self {
        let trials = run.trials(4000);
        let missed = (0..=16)
            .map(|step| {
                let eb_n0_db = 1.0 + 0.25 * f64::from(step);
                let mut random = ChaCha8Rng::seed_from_u64(run.seed + 600);
                let missed = (0..trials)
                    .filter(|_| !is_read(&mut random, eb_n0_db))
                    .count();
                (eb_n0_db, missed as f64 / trials as f64)
            })
            .collect();
        Self { missed }
    }

    /// The Eb/N0 at which this share is missed.
    fn eb_n0_db(&self, share: f64) -> f64 {
        let between = self.missed.windows(2).find(|pair| pair[1].1 <= share);
        between.map_or(f64::NAN, |pair| {
            let part = (pair[0].1 - share) / (pair[0].1 - pair[1].1).max(1e-9);
            pair[0].0 + part.max(0.0) * (pair[1].0 - pair[0].0)
        })
    }
}

fn is_read(random: &mut ChaCha8Rng, eb_n0_db: f64) -> bool {
    let mut bits = sent(random);
    let gain = 10.0_f64.powf(eb_n0_db / 10.0);
    bits.rotate_left(random.random_range(0..64));
    let ratios = bits.map(|bit| {
        let noise: f64 = StandardNormal.sample(random);
        (4.0 * gain * (2.0 * f64::from(bit) - 1.0) + (8.0 * gain).sqrt() * noise) as f32
    });
    let values = |coding| SoftValues {
        ratios: &ratios,
        coding,
    };
    let kinds = [FrameKind::ReadOnly64, FrameKind::FdxB];
    read(
        &[values(Coding::Direct), values(Coding::Differential)],
        &kinds,
    )
    .is_some()
}
