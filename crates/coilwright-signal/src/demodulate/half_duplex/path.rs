use num_complex::Complex64;

use super::tones::Tone;

/// Cycles in a bit of either tone (NCD1015ZP data sheet, clause 2.3).
pub(super) const CYCLES: f64 = 16.0;
/// Ways that are followed side by side; they differ in how many ones came so far.
const BEAM: usize = 24;

/// The two tones, 0 first, and what is known of their strength.
pub(super) struct Model<'a> {
    pub tones: [&'a Tone; 2],
    pub levels: [Level; 2],
    /// Noise power per hertz, of both parts.
    pub noise_per_hz: f64,
    /// Phase of a 1 against that of a 0 as the ring leaves it.
    pub phase_between: Complex64,
    /// How much of the phase reference is kept from bit to bit; 0 for none.
    pub memory: f64,
}

/// Amplitude of a tone: falls exponentially over the reply.
#[derive(Clone, Copy, Debug)]
pub(super) struct Level {
    pub start: f64,
    pub decay_per_s: f64,
}

impl Level {
    pub(super) fn at(&self, time_s: f64) -> f64 {
        self.start * (-self.decay_per_s * time_s).exp()
    }
}

/// A bit on a way through the reply.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    pub bit: u8,
    pub start_s: f64,
    /// Log-likelihood ratio of 1 against 0 at this place.
    pub ratio: f64,
}

impl Model<'_> {
    pub(super) fn bit_s(&self, bit: u8) -> f64 {
        CYCLES / self.tones[usize::from(bit)].hz
    }

    /// What a bit at `start_s` holds, in units of the noise, its phase brought to that of a 0: the amplitude of the
    /// matched filter output times the expected amplitude, twice over N0; and the energy over N0.
    fn seen(&self, bit: u8, start_s: f64) -> (Complex64, f64) {
        let bit = usize::from(bit);
        let length_s = CYCLES / self.tones[bit].hz;
        let level = self.levels[bit].at(start_s + 0.5 * length_s);
        let mean = self.tones[bit].over(start_s, start_s + length_s);
        let scale = length_s / self.noise_per_hz;
        let turned = if bit == 1 {
            mean * self.phase_between.conj()
        } else {
            mean
        };
        (turned * (2.0 * level * scale), level * level * scale)
    }

    /// Log-likelihood of a bit over that of noise alone, given what the bits before say of the phase, and what they then
    /// say with it.
    ///
    /// With a phase that is unknown but steady, all bits together have the likelihood ln I₀(|Σ u|) − Σ E/N0; each bit
    /// adds what it raises that by. Without memory it is the non-coherent receiver (Proakis, *Digital Communications*,
    /// 4th ed., section 5.4).
    fn gain(&self, bit: u8, start_s: f64, before: Complex64) -> (f64, Complex64) {
        let (seen, energy) = self.seen(bit, start_s);
        let after = before + seen;
        let gain = log_bessel_i0(after.norm()) - log_bessel_i0(before.norm()) - energy;
        (gain, after * self.memory)
    }
}

/// A way through the reply: how it came here.
#[derive(Clone, Copy)]
struct Way {
    ones: usize,
    score: f64,
    reference: Complex64,
    /// The way before in the earlier generation, and its bit.
    from: usize,
    bit: u8,
}

/// The most likely bits from `start_s` on until `end_s` or until the reply is over, and their score: the
/// log-likelihood over noise alone.
///
/// A bit lasts 16 cycles of its own tone, so where bit n begins depends on how many of the bits before were 1: the
/// states are that number, and a Viterbi search over them finds the best way.
pub(super) fn best(model: &Model<'_>, start_s: f64, end_s: f64) -> (Vec<u8>, f64) {
    let lengths = [model.bit_s(0), model.bit_s(1)];
    let mut generations: Vec<Vec<Way>> = vec![vec![Way {
        ones: 0,
        score: 0.0,
        reference: Complex64::default(),
        from: 0,
        bit: 0,
    }]];
    let (mut top, mut top_at) = (0.0, (0, 0));
    while let Some(before) = generations.last() {
        let index = generations.len() - 1;
        let mut next: Vec<Way> = Vec::with_capacity(2 * before.len());
        for (from, way) in before.iter().enumerate() {
            let at =
                start_s + (index - way.ones) as f64 * lengths[0] + way.ones as f64 * lengths[1];
            for bit in [0, 1] {
                if at + lengths[usize::from(bit)] > end_s {
                    continue;
                }
                let (gain, reference) = model.gain(bit, at, way.reference);
                next.push(Way {
                    ones: way.ones + usize::from(bit),
                    score: way.score + gain,
                    reference,
                    from,
                    bit,
                });
            }
        }
        if next.is_empty() {
            break;
        }
        keep_best(&mut next);
        for (place, way) in next.iter().enumerate() {
            if way.score > top {
                (top, top_at) = (way.score, (index + 1, place));
            }
        }
        generations.push(next);
    }
    (trace(&generations, top_at), top)
}

/// Keeps the best way for each number of ones, and of those the best few.
fn keep_best(ways: &mut Vec<Way>) {
    ways.sort_by(|a, b| a.ones.cmp(&b.ones).then(b.score.total_cmp(&a.score)));
    ways.dedup_by_key(|way| way.ones);
    ways.sort_by(|a, b| b.score.total_cmp(&a.score));
    ways.truncate(BEAM);
}

fn trace(generations: &[Vec<Way>], end: (usize, usize)) -> Vec<u8> {
    let (mut generation, mut place) = end;
    let mut bits = vec![0; generation];
    while generation > 0 {
        let way = generations[generation][place];
        bits[generation - 1] = way.bit;
        place = way.from;
        generation -= 1;
    }
    bits
}

/// Places and log-likelihood ratios of the bits on a way, each judged with the phase that the bits on both sides give.
pub(super) fn steps(model: &Model<'_>, bits: &[u8], start_s: f64) -> Vec<Step> {
    let mut at = start_s;
    let starts: Vec<f64> = bits
        .iter()
        .map(|&bit| {
            let start = at;
            at += model.bit_s(bit);
            start
        })
        .collect();
    let seen: Vec<Complex64> = bits
        .iter()
        .zip(&starts)
        .map(|(&bit, &start_s)| model.seen(bit, start_s).0)
        .collect();
    let before = references(seen.iter(), model.memory);
    let mut after = references(seen.iter().rev(), model.memory);
    after.reverse();
    (0..bits.len())
        .map(|k| {
            let reference = before[k] + after[k];
            let gain = |bit: u8| model.gain(bit, starts[k], reference).0;
            Step {
                bit: bits[k],
                start_s: starts[k],
                ratio: gain(1) - gain(0),
            }
        })
        .collect()
}

/// For each bit what the ones before it say of the phase.
fn references<'a>(seen: impl Iterator<Item = &'a Complex64>, memory: f64) -> Vec<Complex64> {
    let mut sum = Complex64::default();
    seen.map(|value| {
        let before = sum;
        sum = (sum + value) * memory;
        before
    })
    .collect()
}

/// ln I₀(x), to 2e-7 of I₀ (Abramowitz and Stegun, 9.8.1 and 9.8.2).
pub(super) fn log_bessel_i0(x: f64) -> f64 {
    let t = x / 3.75;
    if t < 1.0 {
        let t2 = t * t;
        let sum = [
            0.004_581_3,
            0.036_076_8,
            0.265_973_2,
            1.206_749_2,
            3.089_942_4,
            3.515_622_9,
            1.0,
        ];
        return sum.into_iter().fold(0.0, |value, c| value * t2 + c).ln();
    }
    let u = 1.0 / t;
    let sum = [
        0.003_923_77,
        -0.016_476_33,
        0.026_355_37,
        -0.020_577_06,
        0.009_162_81,
        -0.001_575_65,
        0.002_253_19,
        0.013_285_92,
        0.398_942_28,
    ];
    let value: f64 = sum.into_iter().fold(0.0, |value, c| value * u + c);
    x - 0.5 * x.ln() + value.ln()
}

#[cfg(test)]
mod tests {
    use super::log_bessel_i0;

    #[test]
    fn the_bessel_function_matches_its_table() {
        // Abramowitz and Stegun, table 9.8: e^-x I0(x) at 1 is 0.46575 96077, at 5 0.18354 08126, at 10 0.12783 33372.
        for (x, scaled) in [
            (1.0, 0.465_759_607_7_f64),
            (5.0, 0.183_540_812_6),
            (10.0, 0.127_833_337_2),
        ] {
            approx::assert_abs_diff_eq!(log_bessel_i0(x) - x, scaled.ln(), epsilon = 1e-6);
        }
    }
}
