//! How surely the class of a modulation and its bit length are told, blind, through the whole chain.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::code::{biphase, manchester, miller, nrz};
use coilwright_signal::demodulate::{
    KeyRead, LineCode, ListenOptions, Listening, Modulation, listen,
};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::Run;
use crate::subcarrier::{heard, is_right, seed_of};
use crate::subcarrier_signal::{Divider, Keying};
use crate::synthetic::Answer;

const EB_N0_DB: f64 = 3.0;
const SECONDS: f64 = 0.3;

/// A class of modulation with random bits.
#[derive(Clone, Copy)]
enum Class {
    Load(LineCode),
    Subcarrier(Keying),
}

/// Every class with its bit lengths.
fn classes() -> Vec<(Class, u32)> {
    let load = LineCode::ALL
        .into_iter()
        .flat_map(|code| [(Class::Load(code), 32), (Class::Load(code), 64)]);
    let subcarriers: [(Keying, u32); 12] = [
        (Keying::Frequency([8, 10], Divider::Restarts), 40),
        (Keying::Frequency([8, 10], Divider::GoesOn), 50),
        (Keying::Frequency([8, 10], Divider::GoesOn), 64),
        (Keying::Frequency([5, 8], Divider::GoesOn), 40),
        (Keying::Frequency([5, 8], Divider::Restarts), 50),
        (Keying::Frequency([5, 8], Divider::GoesOn), 64),
        (Keying::Phase(2), 16),
        (Keying::Phase(2), 32),
        (Keying::Phase(4), 32),
        (Keying::Phase(4), 64),
        (Keying::Phase(8), 32),
        (Keying::Phase(8), 64),
    ];
    let subcarriers = subcarriers.map(|(keying, clocks)| (Class::Subcarrier(keying), clocks));
    load.chain(subcarriers).collect()
}

/// Prints how often class and rate are right.
pub(crate) fn report(run: Run) {
    let trials = run.trials(500);
    println!("## Class and rate\n");
    println!(
        "Random bits in stretches of {SECONDS} s at {EB_N0_DB} dB, half of them with 5 % of hum at 100 Hz: class, subcarrier"
    );
    println!("and bit length all right; Manchester and biphase are one class. The bar is 99 %.\n");
    println!("| class | bit | right | not modulated | wrong | seconds a trial |");
    println!("|---|---|---|---|---|---|");
    let only = std::env::args().nth(4).unwrap_or_default();
    let of_name = |(class, _): &(Class, u32)| class.name().contains(&only);
    for (class, clocks) in classes().into_iter().filter(of_name) {
        let start = std::time::Instant::now();
        let (mut right, mut silent) = (0, 0);
        for trial in 0..trials {
            match class.listen(run, clocks, trial as u64 + 1).keys.first() {
                Some(key) => right += usize::from(class.is_right(key, clocks)),
                None => silent += 1,
            }
        }
        let wrong = trials - right - silent;
        println!(
            "| {} | RF/{clocks} | {right} of {trials} | {silent} | {wrong} | {:.2} |",
            class.name(),
            start.elapsed().as_secs_f64() / trials as f64
        );
    }
    println!();
}

impl Class {
    fn listen(self, run: Run, clocks: u32, trial: u64) -> Listening {
        match self {
            Self::Subcarrier(keying) => {
                let seed = seed_of(run, keying, clocks) + 7_919 * trial;
                heard(keying, clocks, EB_N0_DB, SECONDS, seed).listening
            }
            Self::Load(code) => {
                let seed = run.seed.wrapping_mul(10_000) + u64::from(clocks) * 100 + 7_919 * trial;
                of_load(code, clocks, seed)
            }
        }
    }

    fn is_right(self, key: &KeyRead, clocks: u32) -> bool {
        match self {
            Self::Subcarrier(keying) => is_right(key, keying, clocks),
            Self::Load(code) => {
                let best = key.readings.first().map(|reading| reading.line_code);
                let symbols = [LineCode::Manchester, LineCode::Biphase].map(Some);
                let is_code = if symbols.contains(&Some(code)) {
                    symbols.contains(&best)
                } else {
                    best == Some(code)
                };
                key.modulation == Modulation::Ask && key.clocks_per_bit == clocks && is_code
            }
        }
    }

    fn name(self) -> String {
        match self {
            Self::Load(code) => format!("load, {}", code.identifier()),
            Self::Subcarrier(Keying::Frequency([a, b], Divider::Restarts)) => {
                format!("FSK RF/{a}, RF/{b}, divider restarts")
            }
            Self::Subcarrier(Keying::Frequency([a, b], Divider::GoesOn)) => {
                format!("FSK RF/{a}, RF/{b}, divider goes on")
            }
            Self::Subcarrier(Keying::Phase(clocks)) => format!("PSK RF/{clocks}"),
        }
    }
}

/// What is heard of a key that switches its load by random bits.
fn of_load(code: LineCode, clocks: u32, seed: u64) -> Listening {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let length = (SECONDS * 140e3 / f64::from(clocks)) as usize + 8;
    let data: Vec<u8> = (0..length)
        .map(|_| u8::from(random.random::<bool>()))
        .collect();
    let levels = match code {
        LineCode::Manchester => manchester::encode(&data, manchester::Convention::Thomas),
        LineCode::Biphase => biphase::encode(&data, biphase::Convention::Space, 0),
        LineCode::Miller => miller::encode(&data, miller::Before { level: 0, bit: 0 }),
        LineCode::Nrz => nrz::encode(&data),
    };
    let mut answer = Answer::new(levels, clocks.into()).with_eb_n0(EB_N0_DB);
    answer.seed = seed;
    answer.delay_s = -random.random::<f64>() * 2e-3;
    answer.carrier_hz += random.random::<f64>() * 50.0 - 25.0;
    answer.hum = if random.random::<bool>() { 0.05 } else { 0.0 };
    listen(
        &answer.samples(SECONDS),
        SampleKind::Real,
        answer.sample_rate_hz,
        0,
        &Carrier::direct(answer.carrier_hz + 2.3),
        &ListenOptions::default(),
    )
}
