use num_complex::Complex64;

use super::model::Model;

/// Ways that are followed side by side; they differ in how many ones came so far.
const BEAM: usize = 24;
/// Bits at the end of a way that still say something of the phase beside it.
const BESIDE: usize = 32;

/// A bit on a way through the reply.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    pub bit: u8,
    pub start_s: f64,
    /// Log-likelihood of the bit over noise alone.
    pub gain: f64,
    /// What the bits on both sides say of the phase.
    pub reference: Complex64,
}

/// A way through the reply: how it came here.
#[derive(Clone, Copy)]
struct Way {
    ones: usize,
    score: f64,
    reference: Complex64,
    /// The way before in the earlier generation, none where the telegram begins, and its bit.
    from: Option<usize>,
    bit: u8,
}

impl Way {
    /// The telegram begins here.
    const BEGIN: Self = Self {
        ones: 0,
        score: 0.0,
        reference: Complex64::new(0.0, 0.0),
        from: None,
        bit: 0,
    };
}

/// Bits on a clock that begins at a certain time.
#[derive(Clone, Default)]
pub(super) struct Path {
    pub bits: Vec<u8>,
    pub start_s: f64,
    /// Log-likelihood over noise alone.
    pub score: f64,
}

/// The most likely bits of a telegram that begins at `first_s` or any number of zeros later, and is over by `end_s`.
///
/// A bit lasts 16 cycles of its own tone, so where bit n begins depends on how many of the bits before were 1: the
/// states are that number, and a Viterbi search over them finds the best way. What lies before the telegram and after it
/// is no part of the way: noise would only mislead its phase.
pub(super) fn best(model: &Model<'_>, first_s: f64, end_s: f64) -> Path {
    let lengths = [model.bit_s(0), model.bit_s(1)];
    let mut generations: Vec<Vec<Way>> = vec![vec![Way::BEGIN]];
    let (mut top, mut top_at) = (0.0, (0, 0));
    while let Some(before) = generations.last() {
        let index = generations.len() - 1;
        let mut next: Vec<Way> = Vec::with_capacity(2 * before.len() + 1);
        for (from, way) in before.iter().enumerate() {
            let at =
                first_s + (index - way.ones) as f64 * lengths[0] + way.ones as f64 * lengths[1];
            for bit in [0, 1] {
                if at + lengths[usize::from(bit)] > end_s {
                    continue;
                }
                let (gain, reference) = model.gain(bit, at, way.reference);
                next.push(Way {
                    ones: way.ones + usize::from(bit),
                    score: way.score + gain,
                    reference,
                    from: Some(from),
                    bit,
                });
            }
        }
        if next.is_empty() {
            break;
        }
        next.push(Way::BEGIN);
        keep_best(&mut next);
        for (place, way) in next.iter().enumerate() {
            if way.score > top {
                (top, top_at) = (way.score, (index + 1, place));
            }
        }
        generations.push(next);
    }
    let bits = trace(&generations, top_at);
    Path {
        start_s: first_s + (top_at.0 - bits.len()) as f64 * lengths[0],
        bits,
        score: top,
    }
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
    let mut bits = Vec::with_capacity(generation);
    while let Some(from) = generations[generation][place].from {
        bits.push(generations[generation][place].bit);
        place = from;
        generation -= 1;
    }
    bits.reverse();
    bits
}

/// Places and log-likelihoods of the bits on a way, each judged with the phase that the bits on both sides give.
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
            Step {
                bit: bits[k],
                start_s: starts[k],
                gain: model.gain(bits[k], starts[k], reference).0,
                reference,
            }
        })
        .collect()
}

/// What the bits at the end of a way say of the phase of one that comes before them, or after them when they are reversed.
pub(super) fn reference_beside<'a>(
    model: &Model<'_>,
    steps: impl Iterator<Item = &'a Step>,
) -> Complex64 {
    let (mut sum, mut weight) = (Complex64::default(), model.memory);
    for step in steps.take(BESIDE) {
        sum += model.seen(step.bit, step.start_s).0 * weight;
        weight *= model.memory;
    }
    sum
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
