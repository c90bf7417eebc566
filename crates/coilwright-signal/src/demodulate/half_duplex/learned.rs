use num_complex::Complex64;

use super::model::{CYCLES, Level};
use super::path::Path;
use super::tones::Tone;

/// From this consistency of the phase from bit to bit on, it is relied on; the memory then spans some ten bits.
const CONSISTENT: f64 = 0.45;
const MEMORY: f64 = 0.9;
/// Fastest fall of a reply's amplitude: by a factor e in 5 ms.
const MOST_DECAY_PER_S: f64 = 200.0;

/// What the bits of a way tell of the tones.
pub(super) struct Learned {
    pub levels: [Level; 2],
    pub phase_between: Complex64,
    /// By what the frequencies are to be multiplied.
    pub corrections: [f64; 2],
    consistency: f64,
}

impl Learned {
    /// How much of the phase reference is to be kept from bit to bit.
    pub(super) fn memory(&self) -> f64 {
        if self.consistency > CONSISTENT {
            MEMORY
        } else {
            0.0
        }
    }

    pub(super) fn of(tones: &[Tone; 2], path: &Path, noise_per_hz: f64) -> Self {
        let mut at = path.start_s;
        let seen: Vec<(usize, f64, Complex64)> = path
            .bits
            .iter()
            .map(|&bit| {
                let tone = usize::from(bit);
                let length_s = CYCLES / tones[tone].hz;
                let mean = tones[tone].over(at, at + length_s);
                at += length_s;
                (tone, at - 0.5 * length_s, mean)
            })
            .collect();
        let between: Complex64 = seen
            .windows(2)
            .map(|pair| match (pair[0].0, pair[1].0) {
                (0, 1) => pair[1].2 * pair[0].2.conj(),
                (1, 0) => pair[0].2 * pair[1].2.conj(),
                _ => Complex64::default(),
            })
            .sum();
        let phase_between = if between.norm() > 0.0 {
            between / between.norm()
        } else {
            Complex64::new(1.0, 0.0)
        };
        let level = |(tone, _, mean): &(usize, f64, Complex64)| {
            if *tone == 1 {
                mean * phase_between.conj()
            } else {
                *mean
            }
        };
        let mut turns = [Complex64::default(); 2];
        let mut sizes = 0.0;
        for pair in seen.windows(2) {
            let turn = level(&pair[1]) * level(&pair[0]).conj();
            turns[pair[0].0] += turn;
            sizes += turn.norm();
        }
        let sum = turns[0].norm() + turns[1].norm();
        // Over a bit of 16 cycles a relative error of the frequency turns the phase by 16 turns times as much.
        let correction = |turn: Complex64| 1.0 + turn.arg() / (std::f64::consts::TAU * CYCLES);
        Self {
            levels: levels(&seen, tones, noise_per_hz),
            phase_between,
            consistency: sum / f64::max(sizes, 1e-300),
            corrections: turns.map(correction),
        }
    }
}

/// The strength of both tones with a common decay, from the mean powers in the two halves of the telegram.
fn levels(seen: &[(usize, f64, Complex64)], tones: &[Tone; 2], noise_per_hz: f64) -> [Level; 2] {
    let power =
        |tone: usize, mean: &Complex64| mean.norm_sqr() - noise_per_hz * tones[tone].hz / CYCLES;
    let mean_of = |values: &mut dyn Iterator<Item = f64>| {
        let (sum, count) =
            values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
        if count > 0.0 { sum / count } else { 0.0 }
    };
    let means = [0, 1].map(|tone| {
        let of_tone = seen.iter().filter(|bit| bit.0 == tone);
        mean_of(&mut of_tone.map(|bit| power(tone, &bit.2))).max(1e-300)
    });
    let half = seen.len() / 2;
    let (first, second) = seen.split_at(half);
    let relative = |bits: &[(usize, f64, Complex64)]| {
        mean_of(&mut bits.iter().map(|bit| power(bit.0, &bit.2) / means[bit.0]))
    };
    let middle = |bits: &[(usize, f64, Complex64)]| mean_of(&mut bits.iter().map(|bit| bit.1));
    let ratio = relative(first).max(0.1) / relative(second).max(0.1);
    let apart_s = (middle(second) - middle(first)).max(1e-6);
    let decay_per_s = (0.5 * ratio.ln() / apart_s).clamp(0.0, MOST_DECAY_PER_S);
    [0, 1].map(|tone| {
        let of_tone = seen.iter().filter(|bit| bit.0 == tone);
        let shape = mean_of(&mut of_tone.map(|bit| (-2.0 * decay_per_s * bit.1).exp()));
        Level {
            start: (means[tone] / f64::max(shape, 1e-12)).sqrt(),
            decay_per_s,
        }
    })
}
