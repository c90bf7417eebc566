//! Frames in soft values: how often one is missed, and how often a wrong one is reported.

use coilwright_signal::frame::soft::{Coding, SoftValues, read};
use coilwright_signal::frame::{FdxB, FrameKind, ReadOnly64, fdx_b, read_only_64};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, StandardNormal};

use crate::Run;

const KINDS: [FrameKind; 2] = [FrameKind::ReadOnly64, FrameKind::FdxB];
/// Frames at 5 dB, where the bars lie, and elsewhere.
const FRAMES_AT_BAR: usize = 200_000;
const FRAMES: usize = 5_000;

/// Prints the frame error rates and the false reports.
pub(crate) fn report(run: Run) {
    println!("## Frames in soft values\n");
    println!(
        "One frame alone, at a random rotation and polarity, as many log-likelihood ratios as it has bits:"
    );
    println!(
        "4 Eb/N0 + √(8 Eb/N0) times a normal deviate. Hard: all checks must pass at one rotation as received."
    );
    println!("The bars, for the 64-bit frame at 5 dB: 2 % missed, and 1e-4 wrong payloads.\n");
    println!(
        "| frame, coding | Eb/N0 | frames | hard: missed | soft: missed | soft: wrong payload | corrected among the read |"
    );
    println!("|---|---|---|---|---|---|---|");
    for (name, kind, coding) in [
        (
            "64-bit read-only, direct (Manchester)",
            FrameKind::ReadOnly64,
            Coding::Direct,
        ),
        (
            "64-bit read-only, differential (biphase)",
            FrameKind::ReadOnly64,
            Coding::Differential,
        ),
        (
            "FDX-B, differential (biphase)",
            FrameKind::FdxB,
            Coding::Differential,
        ),
    ] {
        for eb_n0_db in 3..=7 {
            let at_bar = eb_n0_db == 5 && kind == FrameKind::ReadOnly64 && coding == Coding::Direct;
            let trials = run.trials(if at_bar { FRAMES_AT_BAR } else { FRAMES });
            let mut random = ChaCha8Rng::seed_from_u64(run.seed + 31 * eb_n0_db);
            let counts = count(&mut random, kind, coding, eb_n0_db as f64, trials);
            println!(
                "| {name} | {eb_n0_db} dB | {trials} | {} | {} | {} | {:.3} |",
                share(counts.hard_missed, trials),
                share(counts.missed, trials),
                share(counts.wrong, trials),
                counts.corrected as f64 / (trials - counts.missed).max(1) as f64
            );
        }
    }
    println!();
    nothing_there(run);
}

fn share(count: usize, trials: usize) -> String {
    format!("{count} = {:.2e}", count as f64 / trials as f64)
}

#[derive(Default)]
struct Counts {
    hard_missed: usize,
    missed: usize,
    wrong: usize,
    corrected: usize,
}

fn count(
    random: &mut ChaCha8Rng,
    kind: FrameKind,
    coding: Coding,
    eb_n0_db: f64,
    trials: usize,
) -> Counts {
    let mut counts = Counts::default();
    for _ in 0..trials {
        let sent = frame(random, kind);
        let ratios = received(random, &sent, coding, eb_n0_db);
        counts.hard_missed += usize::from(!is_hard_read(&ratios, &sent, coding));
        match read(
            &[SoftValues {
                ratios: &ratios,
                coding,
            }],
            &KINDS,
        ) {
            Some(found) => {
                let hit = &found.hits[0];
                counts.wrong += usize::from(hit.frame.bits != sent);
                counts.corrected += usize::from(hit.corrected_bits > 0);
            }
            None => counts.missed += 1,
        }
    }
    counts
}

fn frame(random: &mut ChaCha8Rng, kind: FrameKind) -> Vec<u8> {
    match kind {
        FrameKind::ReadOnly64 => read_only_64::encode(&ReadOnly64 {
            customer: random.random(),
            number: random.random(),
        })
        .to_vec(),
        _ => fdx_b::encode(&FdxB {
            animal: true,
            reserved: 0,
            data_block: false,
            country: random.random_range(1..1000),
            national: random.random::<u64>() & 0x3F_FFFF_FFFF,
            trailer: 0,
        })
        .to_vec(),
    }
}

/// Ratios of one cycle of values, as a receiver with the right timing has them.
fn received(random: &mut ChaCha8Rng, sent: &[u8], coding: Coding, eb_n0_db: f64) -> Vec<f32> {
    let mut bits = sent.to_vec();
    bits.rotate_left(random.random_range(0..sent.len()));
    let flip = u8::from(random.random::<bool>());
    let mut value = 0;
    let gain = 10.0_f64.powf(eb_n0_db / 10.0);
    bits.iter()
        .map(|bit| {
            let level = match coding {
                Coding::Direct => bit ^ flip,
                Coding::Differential => {
                    let before = value;
                    value ^= bit ^ flip;
                    before
                }
            };
            let noise: f64 = StandardNormal.sample(random);
            (4.0 * gain * (2.0 * f64::from(level) - 1.0) + (8.0 * gain).sqrt() * noise) as f32
        })
        .collect()
}

/// Whether the hard bits of the cycle are the frame at some rotation, in either polarity.
fn is_hard_read(ratios: &[f32], sent: &[u8], coding: Coding) -> bool {
    let mut bits = SoftValues { ratios, coding }.bits();
    if coding == Coding::Differential {
        // The bit across the seam: the parity of the frame says how the cycle closes.
        let parity = sent.iter().fold(0, |sum, bit| sum ^ bit);
        let known = bits.iter().fold(0, |sum, bit| sum ^ bit);
        bits.push(parity ^ known);
    }
    (0..bits.len()).any(|start| {
        [0, 1]
            .iter()
            .any(|flip| (0..bits.len()).all(|k| bits[(start + k) % bits.len()] ^ flip == sent[k]))
    })
}

/// What is reported where there is no frame.
fn nothing_there(run: Run) {
    println!(
        "Reports where there is no frame, of either kind in either coding: a cycle of 64 or 128 random bits"
    );
    println!("(another layout) repeated for 3.3 cycles, and noise alone taken for bits.\n");
    println!("| values | Eb/N0 | trials | reports |\n|---|---|---|---|");
    let trials = run.trials(10_000);
    for eb_n0_db in [-3.0, 0.0, 5.0, 12.0] {
        for length in [64, 128] {
            let mut random = ChaCha8Rng::seed_from_u64(run.seed + 1000 + length as u64);
            let reports = (0..trials)
                .filter(|_| {
                    let bits: Vec<u8> = (0..length)
                        .map(|_| u8::from(random.random::<bool>()))
                        .collect();
                    let repeated: Vec<u8> = bits
                        .iter()
                        .copied()
                        .cycle()
                        .take(length * 33 / 10)
                        .collect();
                    let ratios = received(&mut random, &repeated, Coding::Direct, eb_n0_db);
                    is_reported(&ratios)
                })
                .count();
            println!("| {length} random bits | {eb_n0_db} dB | {trials} | {reports} |");
        }
    }
    for strength in [1.0, 3.0, 10.0] {
        let mut random = ChaCha8Rng::seed_from_u64(run.seed + 2000);
        let reports = (0..trials)
            .filter(|_| {
                let ratios: Vec<f32> = (0..300)
                    .map(|_| {
                        let noise: f64 = StandardNormal.sample(&mut random);
                        (strength * noise) as f32
                    })
                    .collect();
                is_reported(&ratios)
            })
            .count();
        println!("| noise, ratios of deviation {strength} | | {trials} | {reports} |");
    }
    println!();
}

fn is_reported(ratios: &[f32]) -> bool {
    let sources =
        [Coding::Direct, Coding::Differential].map(|coding| SoftValues { ratios, coding });
    read(&sources, &KINDS).is_some()
}
