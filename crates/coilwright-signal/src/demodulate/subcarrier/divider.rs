//! Two tones from one divider that goes on from bit to bit: the phase at which a bit begins follows from the bits before.

use std::f64::consts::TAU;

use num_complex::Complex64;

use super::tone::Tone;

/// Places between two phases of the divider that are tried at first.
const PLACES: u32 = 4;
/// Rounds of learning.
const ROUNDS: usize = 4;

/// How a divider's phase steps from bit to bit.
///
/// A bit of n carrier periods moves a subcarrier of c periods on by n/c of its own: in all, a bit may begin at as many
/// phases as the least common denominator of the two steps.
struct Divider {
    phases: u32,
    /// Steps of a bit with each tone.
    steps: [u32; 2],
}

impl Divider {
    fn of(clocks: [u32; 2], clocks_per_bit: u32) -> Self {
        let denominators = clocks.map(|clocks| clocks / common(clocks, clocks_per_bit));
        let [one, other] = denominators;
        let phases = one / common(one, other) * other;
        Self {
            phases,
            steps: clocks.map(|clocks| {
                let step = u64::from(clocks_per_bit) * u64::from(phases) / u64::from(clocks);
                (step % u64::from(phases)) as u32
            }),
        }
    }

    /// The phase that follows a bit with a tone.
    fn next(&self, phase: usize, tone: usize) -> usize {
        (phase + self.steps[tone] as usize) % self.phases as usize
    }

    fn turn(&self, steps: f64) -> Complex64 {
        Complex64::cis(TAU * steps / f64::from(self.phases))
    }
}

fn common(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { common(b, a % b) }
}

/// What the bits are if the divider goes on.
pub(super) struct Followed {
    /// Log-likelihood ratios of the first tone against the second.
    pub ratios: Vec<f64>,
    /// Of all bits over noise alone, natural logarithm.
    pub log_likelihood: f64,
    /// For each tone its templates at phase 0.
    pub templates: [Vec<Complex64>; 2],
}

/// The bits by the phases of a divider that goes on, given how likely each has the first tone as judged alone; `None` where
/// every bit begins at the same phase.
///
/// The states are the phases at which a bit may begin. With the templates of both tones, forward and backward sums over
/// all ways through the states give the odds of each bit and phase (Bahl, Cocke, Jelinek and Raviv, IEEE Trans.
/// Information Theory 20, 1974), and these the templates anew.
pub(super) fn follow(
    tones: &[Tone; 2],
    clocks: [u32; 2],
    clocks_per_bit: u32,
    weights: &[f64],
) -> Option<Followed> {
    let divider = Divider::of(clocks, clocks_per_bit);
    if divider.phases < 2 || weights.is_empty() {
        return None;
    }
    let apart = apart(&divider, tones, weights);
    let places = (0..PLACES).map(|place| {
        let first = Complex64::cis(TAU * f64::from(place) / f64::from(PLACES * divider.phases));
        [(0, first), (1, first * apart)].map(|(tone, turn)| turned(&tones[tone], turn))
    });
    let mut best = places
        .map(|templates| pass(&divider, tones, templates))
        .max_by(|a, b| {
            a.followed
                .log_likelihood
                .total_cmp(&b.followed.log_likelihood)
        })?;
    for _ in 0..ROUNDS {
        let templates = [0, 1].map(|tone| learned(&divider, &tones[tone], &best.odds[tone]));
        best = pass(&divider, tones, templates);
    }
    Some(best.followed)
}

/// The templates of a tone that begins the bit at a phase.
fn turned(tone: &Tone, turn: Complex64) -> Vec<Complex64> {
    let lines = tone.orders.iter().zip(&tone.templates);
    lines.map(|(&order, h)| h * turn.powi(order)).collect()
}

/// By how much the phase of the second tone, as its templates count it, is ahead of that of the first where they follow
/// upon one another.
fn apart(divider: &Divider, tones: &[Tone; 2], weights: &[f64]) -> Complex64 {
    let [first, second] = tones.each_ref().map(Tone::begins);
    let [after_first, after_second] = divider.steps.map(|steps| divider.turn(f64::from(steps)));
    let sum: Complex64 = (1..weights.len())
        .map(|bit| {
            let (before, now) = (weights[bit - 1], weights[bit]);
            let rise = second[bit] * (first[bit - 1] * after_first).conj();
            let fall = second[bit - 1] * after_second * first[bit].conj();
            rise * (before * (1.0 - now)) + fall * ((1.0 - before) * now)
        })
        .sum();
    sum / sum.norm().max(1e-300)
}

/// The odds of all phases and tones for given templates.
struct Pass {
    followed: Followed,
    /// For each tone, bit and phase the probability.
    odds: [Vec<Vec<f64>>; 2],
}

fn pass(divider: &Divider, tones: &[Tone; 2], templates: [Vec<Complex64>; 2]) -> Pass {
    let of_tones = [0, 1].map(|tone| likelihoods(divider, &tones[tone], &templates[tone]));
    let bits: Vec<OfBit> = of_tones[0]
        .iter()
        .zip(&of_tones[1])
        .map(|(first, second)| OfBit::of([first, second]))
        .collect();
    let (before, log_likelihood) = forward(divider, &bits);
    let mut after = vec![1.0; divider.phases as usize];
    let mut ratios = vec![0.0; bits.len()];
    let mut odds = [vec![Vec::new(); bits.len()], vec![Vec::new(); bits.len()]];
    for bit in (0..bits.len()).rev() {
        let [first, second] = bits[bit].with_after(divider, &after);
        let joint = [&first, &second].map(|of_tone| -> Vec<f64> {
            let both = of_tone.iter().zip(&before[bit]);
            both.map(|(after, before)| after * before).collect()
        });
        let sums = joint
            .each_ref()
            .map(|of_tone| of_tone.iter().sum::<f64>().max(f64::MIN_POSITIVE));
        ratios[bit] = (sums[0] / sums[1]).ln();
        for (odds, joint) in odds.iter_mut().zip(joint) {
            let share = |value: f64| value / (sums[0] + sums[1]);
            odds[bit] = joint.into_iter().map(share).collect();
        }
        after = scaled(first.iter().zip(&second).map(|(a, b)| a + b).collect()).0;
    }
    Pass {
        followed: Followed {
            ratios,
            log_likelihood,
            templates,
        },
        odds,
    }
}

/// The likelihoods of a bit by tone and phase, over the largest of them.
struct OfBit {
    likelihoods: [Vec<f64>; 2],
    /// Natural logarithm of the largest.
    most: f64,
}

impl OfBit {
    fn of(logarithms: [&Vec<f64>; 2]) -> Self {
        let all = logarithms.iter().flat_map(|of_tone| of_tone.iter());
        let most = all.copied().fold(f64::NEG_INFINITY, f64::max);
        let likelihood = |value: &f64| 0.5 * (value - most).exp();
        Self {
            likelihoods: logarithms.map(|of_tone| of_tone.iter().map(likelihood).collect()),
            most,
        }
    }

    /// The likelihoods of this bit and of all after it, given those of all after it for each phase that follows.
    fn with_after(&self, divider: &Divider, after: &[f64]) -> [Vec<f64>; 2] {
        [0, 1].map(|tone| {
            let phases = self.likelihoods[tone].iter().enumerate();
            phases
                .map(|(phase, likelihood)| likelihood * after[divider.next(phase, tone)])
                .collect()
        })
    }
}

/// For each bit the odds of every phase by the bits before it, and the natural logarithm of the likelihood of all bits.
fn forward(divider: &Divider, bits: &[OfBit]) -> (Vec<Vec<f64>>, f64) {
    let count = divider.phases as usize;
    let mut before = vec![vec![1.0 / count as f64; count]];
    let mut log_likelihood = 0.0;
    for (index, bit) in bits.iter().enumerate() {
        let mut after = vec![0.0; count];
        for (tone, likelihoods) in bit.likelihoods.iter().enumerate() {
            for (phase, likelihood) in likelihoods.iter().enumerate() {
                after[divider.next(phase, tone)] += before[index][phase] * likelihood;
            }
        }
        let (after, sum) = scaled(after);
        log_likelihood += bit.most + sum.ln();
        before.push(after);
    }
    (before, log_likelihood)
}

/// Values over their sum, and that sum.
fn scaled(values: Vec<f64>) -> (Vec<f64>, f64) {
    let sum = values.iter().sum::<f64>().max(f64::MIN_POSITIVE);
    (values.into_iter().map(|value| value / sum).collect(), sum)
}

/// For each bit and phase the log-likelihood of a tone over noise alone.
fn likelihoods(divider: &Divider, tone: &Tone, templates: &[Complex64]) -> Vec<Vec<f64>> {
    let energy = templates.iter().map(Complex64::norm_sqr).sum::<f64>() / tone.noise;
    let scale = 2.0 / tone.noise;
    let turned: Vec<Vec<Complex64>> = (0..divider.phases)
        .map(|phase| {
            let turn = divider.turn(f64::from(phase));
            let lines = tone.orders.iter().zip(templates);
            lines
                .map(|(&order, h)| (h * turn.powi(order)).conj() * scale)
                .collect()
        })
        .collect();
    let bits = tone.seen.first().map_or(0, Vec::len);
    (0..bits)
        .map(|bit| {
            let along = |templates: &Vec<Complex64>| {
                let lines = tone.seen.iter().zip(templates);
                lines.map(|(seen, h)| (seen[bit] * h).re).sum::<f64>() - energy
            };
            turned.iter().map(along).collect()
        })
        .collect()
}

/// The templates at phase 0 as the bits show them.
fn learned(divider: &Divider, tone: &Tone, odds: &[Vec<f64>]) -> Vec<Complex64> {
    let total = odds.iter().flatten().sum::<f64>().max(1.0);
    let lines = tone.orders.iter().zip(&tone.seen);
    lines
        .map(|(&order, seen)| {
            let back: Vec<Complex64> = (0..divider.phases)
                .map(|phase| divider.turn(f64::from(phase)).powi(-order))
                .collect();
            let sum: Complex64 = seen
                .iter()
                .zip(odds)
                .map(|(y, odds)| {
                    let turn: Complex64 = back.iter().zip(odds).map(|(turn, p)| turn * p).sum();
                    y * turn
                })
                .sum();
            sum / total
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::Divider;

    #[test]
    fn a_bit_moves_the_divider_by_what_is_left_of_its_last_period() {
        for (clocks, clocks_per_bit, phases, steps) in [
            // 8 periods, and 6.4.
            ([8, 10], 64, 5, [0, 2]),
            // 6.25 periods, and 5.
            ([8, 10], 50, 4, [1, 0]),
            // 12.8 periods, and 8.
            ([5, 8], 64, 5, [4, 0]),
            ([8, 10], 40, 1, [0, 0]),
        ] {
            let divider = Divider::of(clocks, clocks_per_bit);
            assert_eq!((divider.phases, divider.steps), (phases, steps));
        }
    }
}
