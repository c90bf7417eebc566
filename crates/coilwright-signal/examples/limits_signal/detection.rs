//! Whether a carrier is modulated, at which bit length, and by how many keys.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::code::manchester;
use coilwright_signal::demodulate::{ListenOptions, Listening, listen};
use coilwright_signal::frame::{ReadOnly64, read_only_64};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::Run;
use crate::synthetic::{Answer, add_line};

/// Prints false calls, hits and collisions.
pub(crate) fn report(run: Run) {
    println!("## Modulated or not\n");
    bare(run);
    hits(run);
    println!("## Two keys at once\n");
    collisions(run);
}

fn hear(answer: &Answer, samples: &[f32]) -> Listening {
    let carrier = Carrier::direct(answer.carrier_hz + 1.1);
    listen(
        samples,
        SampleKind::Real,
        answer.sample_rate_hz,
        0,
        &carrier,
        &ListenOptions::default(),
    )
}

fn levels(random: &mut ChaCha8Rng) -> Vec<u8> {
    let fields = ReadOnly64 {
        customer: random.random(),
        number: random.random(),
    };
    manchester::encode(
        &read_only_64::encode(&fields),
        manchester::Convention::Thomas,
    )
}

/// What is added to a bare carrier.
#[derive(Clone, Copy, Debug)]
enum Nuisance {
    Noise,
    Hum,
    ConverterLine,
    EightBits,
}

fn bare(run: Run) {
    println!(
        "Bare carriers at 1 MS/s, SNR 10 to 60 dB: with 100 Hz hum of up to 5 % on both axes; with a converter line of"
    );
    println!(
        "up to 1 % within 25 kHz of the carrier; in 8 bits at 128 steps peak to peak, where at a high SNR nothing"
    );
    println!(
        "dithers the steps. Calls of \"modulated\", and the largest statistic over its threshold; the bar for hum is 1 %.\n"
    );
    println!("| stretch | noise alone | hum | converter line | 8 bits |\n|---|---|---|---|---|");
    for (seconds, full) in [(0.05, 600), (0.3, 600), (1.0, 200)] {
        print!("| {seconds} s |");
        for nuisance in [
            Nuisance::Noise,
            Nuisance::Hum,
            Nuisance::ConverterLine,
            Nuisance::EightBits,
        ] {
            let mut random = ChaCha8Rng::seed_from_u64(run.seed + 77);
            let trials = run.trials(full);
            let ratios: Vec<f64> = (0..trials)
                .map(|_| bare_statistic(&mut random, seconds, nuisance))
                .collect();
            let calls = ratios.iter().filter(|&&ratio| ratio >= 1.0).count();
            let largest = ratios.iter().copied().fold(0.0, f64::max);
            print!(" {calls} of {trials}, {largest:.2} |");
        }
        println!();
    }
    println!();
}

/// Statistic over threshold for a bare carrier.
fn bare_statistic(random: &mut ChaCha8Rng, seconds: f64, nuisance: Nuisance) -> f64 {
    let mut answer = Answer::new(Vec::new(), 64.0);
    answer.carrier_hz += random.random::<f64>() * 200.0 - 100.0;
    answer.snr_db = 10.0 + 50.0 * random.random::<f64>();
    answer.seed = random.random();
    let (size, place) = (random.random::<f64>(), random.random::<f64>() - 0.5);
    if matches!(nuisance, Nuisance::Hum) {
        answer.hum = 0.05 * size;
    }
    let mut samples = answer.samples(seconds);
    match nuisance {
        Nuisance::ConverterLine => {
            let line_hz = answer.carrier_hz + 50e3 * place;
            add_line(
                &mut samples,
                answer.sample_rate_hz,
                line_hz,
                0.01 * answer.amplitude * size,
            );
        }
        Nuisance::EightBits => samples
            .iter_mut()
            .for_each(|x| *x = (*x * 128.0).round() / 128.0),
        Nuisance::Noise | Nuisance::Hum => {}
    }
    let detection = hear(&answer, &samples).detection;
    detection.statistic / detection.threshold
}

fn hits(run: Run) {
    println!(
        "Keys in stretches of 0.3 s: share called modulated with the right bit length, and share whose payload is read.\n"
    );
    println!("| Eb/N0 | RF/64 | RF/40 | RF/32 | RF/16 |\n|---|---|---|---|---|");
    for eb_n0_db in [-9, -6, -3, 0, 3, 6, 9] {
        print!("| {eb_n0_db} dB |");
        for clocks in [64, 40, 32, 16] {
            let trials = run.trials(60);
            let mut random = ChaCha8Rng::seed_from_u64(run.seed + 5 + u64::from(clocks));
            let (mut right, mut read) = (0, 0);
            for _ in 0..trials {
                let mut answer =
                    Answer::new(levels(&mut random), clocks.into()).with_eb_n0(eb_n0_db.into());
                answer.seed = random.random();
                answer.axis_rad = 3.0 * (random.random::<f64>() - 0.5);
                answer.delay_s = random.random::<f64>() * 1e-2;
                let sent = manchester::decode_soft(
                    &answer
                        .levels
                        .iter()
                        .map(|&level| f32::from(level) - 0.5)
                        .collect::<Vec<_>>(),
                    manchester::Convention::Thomas,
                );
                let sent: Vec<u8> = sent.iter().map(|&bit| u8::from(bit > 0.0)).collect();
                let heard = hear(&answer, &answer.samples(0.3));
                if let Some(key) = heard.keys.first() {
                    right += usize::from(key.clocks_per_bit == clocks);
                    read += usize::from(
                        key.frames
                            .first()
                            .is_some_and(|read| read.frame.bits == sent),
                    );
                }
            }
            print!(
                " {:.2} / {:.2} |",
                right as f64 / trials as f64,
                read as f64 / trials as f64
            );
        }
        println!();
    }
    println!();
}

fn collisions(run: Run) {
    println!(
        "Two keys at RF/64 with random delays in stretches of 0.3 s, 12 dB Eb/N0 for the stronger; share called a"
    );
    println!("collision against the depth of the second over the first.\n");
    println!("| second / first | called |\n|---|---|");
    for share in [0.0, 0.1, 0.2, 0.3, 0.5, 0.7, 1.0] {
        let trials = run.trials(if share == 0.0 { 300 } else { 60 });
        let mut random = ChaCha8Rng::seed_from_u64(run.seed + 9);
        let mut calls = 0;
        for _ in 0..trials {
            let mut first = Answer::new(levels(&mut random), 64.0).with_eb_n0(12.0);
            first.seed = random.random();
            let mut second = Answer::new(levels(&mut random), 64.0);
            second.snr_db = 200.0;
            second.seed = first.seed;
            second.depth = first.depth * share;
            second.delay_s = random.random::<f64>() * 1e-2;
            let bare = Answer {
                levels: Vec::new(),
                ..second.clone()
            };
            let sum: Vec<f32> = first
                .samples(0.3)
                .iter()
                .zip(second.samples(0.3))
                .zip(bare.samples(0.3))
                .map(|((a, b), carrier)| a + b - carrier)
                .collect();
            calls += usize::from(hear(&first, &sum).collision.is_some());
        }
        println!("| {share} | {calls} of {trials} |");
    }
    println!();
}
