//! Whether there is a reply at all, where it begins and how strong it is, from windows of a bit.

use super::model::{CYCLES, Level, TONES_HZ};
use super::tones::{Reply, Tone};

/// Bits that a telegram lasts; the strength is first taken over this much.
const TELEGRAM_BITS: f64 = 100.0;
/// A telegram begins where what twelve bits hold reaches this share of the most.
const BEGIN_SHARE: f64 = 0.5;
const BEGIN_WINDOWS: usize = 36;
/// There is a reply where twelve bits hold this much in the stronger of their tones over what noise puts into one tone:
/// noise alone gives 1.5 with a spread of 0.3, a reply at 4 dB of energy a bit 3.7.
const LEAST_HELD: f64 = 2.5;
/// Windows to a bit for the first look.
const WINDOWS: f64 = 3.0;

/// The power of each tone in windows of a bit, `WINDOWS` to a bit.
fn window_powers(reply: &Reply, tones: &[Tone; 2]) -> Vec<[f64; 2]> {
    let bit_s = CYCLES / TONES_HZ[0];
    let step_s = bit_s / WINDOWS;
    let count = ((reply.seconds() - bit_s) / step_s).max(0.0) as usize;
    let power = |tone: &Tone, k: usize| {
        let start_s = k as f64 * step_s;
        tone.over(start_s, start_s + bit_s).norm_sqr()
    };
    (0..count)
        .map(|k| [power(&tones[0], k), power(&tones[1], k)])
        .collect()
}

/// What runs of windows hold in the stronger tone of each.
fn held(powers: &[[f64; 2]]) -> Vec<f64> {
    powers
        .windows(BEGIN_WINDOWS)
        .map(|windows| windows.iter().map(|pair| pair[0].max(pair[1])).sum())
        .collect()
}

pub(super) fn holds_reply(reply: &Reply, tones: &[Tone; 2], noise_per_hz: f64) -> bool {
    let most = held(&window_powers(reply, tones))
        .into_iter()
        .fold(0.0, f64::max);
    most * CYCLES / TONES_HZ[0] > LEAST_HELD * BEGIN_WINDOWS as f64 * noise_per_hz
}

/// Where the telegram begins and how strong the tones are, from windows of a bit.
///
/// The ring and the key's own coil favour one tone by up to 8 dB, so that a telegram that begins with many bits of the
/// weaker one seems to begin late; with each tone counted in units of its own strength it does not.
pub(super) fn first_levels(
    reply: &Reply,
    tones: &[Tone; 2],
    noise_per_hz: f64,
) -> Option<(f64, [Level; 2])> {
    let bit_s = CYCLES / TONES_HZ[0];
    let step_s = bit_s / WINDOWS;
    let powers = window_powers(reply, tones);
    let noise = noise_per_hz / bit_s;
    let unequal = mean_powers(&powers, begin(&powers)?, noise)?;
    let even: Vec<[f64; 2]> = powers
        .iter()
        .map(|pair| [pair[0] / unequal[0], pair[1] / unequal[1]])
        .collect();
    let begin = begin(&even)?;
    let levels = mean_powers(&powers, begin, noise)?.map(|power| Level {
        start: power.sqrt(),
        decay_per_s: 0.0,
    });
    Some((begin as f64 * step_s, levels))
}

/// The first window of those that hold a good share of the most.
fn begin(powers: &[[f64; 2]]) -> Option<usize> {
    let held = held(powers);
    let most = held.iter().copied().fold(0.0, f64::max);
    held.iter().position(|&held| held > BEGIN_SHARE * most)
}

/// The mean power of each tone in a telegram from window `begin` on, where it is the stronger one by far.
fn mean_powers(powers: &[[f64; 2]], begin: usize, noise: f64) -> Option<[f64; 2]> {
    let telegram = (TELEGRAM_BITS * WINDOWS) as usize;
    let within = powers.get(begin..(begin + telegram).min(powers.len()))?;
    Some([0, 1].map(|tone| {
        let (sum, count) = within
            .iter()
            .filter(|pair| pair[tone] > 2.0 * pair[1 - tone])
            .fold((0.0, 0.0), |(sum, count), pair| {
                (sum + pair[tone], count + 1.0)
            });
        (sum / f64::max(count, 1.0) - noise).max(noise)
    }))
}
