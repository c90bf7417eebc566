use std::f64::consts::TAU;

use num_complex::Complex64;

use super::divider;
use super::output::Output;
use super::residual::Residual;
use super::sidebands::{Sidebands, orders};
use super::timing::best_start;
use super::tone::Tone;

/// Sidebands up to this order hold 96 % of a square subcarrier's power.
const MOST_ORDER: i32 = 9;
/// Values a bit.
const VALUES: f64 = 64.0;
/// Fewer bits than this show no templates.
const MIN_BITS: usize = 24;
/// Rounds of learning.
const ROUNDS: usize = 6;

/// What a frequency-shift key sent.
pub(super) struct ToneBits {
    /// Log-likelihood ratios of the first tone against the second, one for each bit.
    pub ratios: Vec<f64>,
    /// Natural logarithm of the likelihood of these bits over that of noise alone, whichever bits they are.
    pub evidence: f64,
    /// Energy of a bit over noise density.
    pub eb_n0: f64,
    /// Peak deviation of the carrier over its amplitude.
    pub deviation: f64,
    /// Sample position of the first bit, from the start of the residual.
    pub start: f64,
    /// Samples to a bit.
    pub period: f64,
    /// Direction of the modulation against the carrier's phase.
    pub axis_rad: f64,
    /// How alike the two sidebands of each tone are, the lesser of both.
    pub balance: f64,
    sidebands: Sidebands,
    /// For each tone the order of its sidebands with their templates, and its deviation.
    templates: [(Vec<(i32, Complex64)>, f64); 2],
}

impl ToneBits {
    /// The sizes of the two tones at every instant.
    pub(super) fn output(&self) -> Output {
        Output::of_tones(&self.sidebands, self.period, &self.templates)
    }
}

/// The bits of `clocks_per_bit` carrier periods of a key whose subcarriers last `clocks`, given the variance that noise
/// gives the mean envelope of a sideband over a bit.
///
/// Under a tone that begins the bit at phase ψ, the sideband of order k is h\[k\] e^(jkψ) + noise. The likelihood of a
/// tone is that of its templates h averaged over ψ: with every ψ alike this is the non-coherent receiver (Proakis,
/// *Digital Communications*, 4th ed., section 5.4), for a subcarrier of any shape; where the key begins its bits at
/// fixed phases, as it does when the divider starts anew with each bit, the learned weights of ψ make the receiver
/// coherent. Templates and weights are learned from the bits themselves by expectation maximisation. Where the divider
/// goes on from bit to bit, its phase is followed if that makes the whole likelier.
pub(super) fn read(
    residual: &Residual,
    clocks: [u32; 2],
    clocks_per_bit: u32,
    noise: impl Fn(f64) -> f64,
) -> Option<ToneBits> {
    let period = f64::from(clocks_per_bit) / residual.clock_frequency;
    let lines = Lines::of(residual, clocks, period)?;
    let noise = noise(period);
    let sidebands = &lines.sidebands;
    let whole = sidebands.count(sidebands.begin(), period).checked_sub(1)?;
    let start = best_start(sidebands.begin(), period, |start| {
        let (first, second) = (lines.powers(0, start, whole), lines.powers(1, start, whole));
        first.iter().zip(&second).map(|(a, b)| a.max(*b)).sum()
    });
    let count = sidebands.count(start, period);
    if count < MIN_BITS || noise <= 0.0 {
        return None;
    }
    let mut tones = [0, 1].map(|tone| {
        let seen = lines.seen(tone, start, count);
        Tone::new(lines.orders[tone].clone(), seen, clocks[tone], noise)
    });
    let (first, second) = (lines.powers(0, start, count), lines.powers(1, start, count));
    let first_is_likely = |(first, second)| if first > second { 1.0 } else { 0.0 };
    let alone = Alone::learned(&mut tones, first.iter().zip(&second).map(first_is_likely));
    let followed = divider::follow(&tones, clocks, clocks_per_bit, &alone.weights)
        .filter(|followed| followed.log_likelihood > alone.log_likelihood);
    let (ratios, evidence) = match followed {
        Some(followed) => {
            for (tone, templates) in tones.iter_mut().zip(followed.templates) {
                tone.templates = templates;
            }
            (followed.ratios, followed.log_likelihood)
        }
        None => (alone.ratios, alone.log_likelihood),
    };
    let power = 0.5 * (tones[0].power() + tones[1].power());
    Some(ToneBits {
        ratios,
        evidence,
        eb_n0: power / noise,
        deviation: power.sqrt(),
        start,
        period,
        axis_rad: tones[0].axis_rad(),
        balance: tones[0].balance().min(tones[1].balance()),
        templates: tones.map(|tone| {
            let power = tone.power();
            let templates = tone.orders.into_iter().zip(tone.templates);
            (templates.collect(), power.sqrt())
        }),
        sidebands: lines.sidebands,
    })
}

/// The sidebands of both tones, those of the first one first.
struct Lines {
    sidebands: Sidebands,
    orders: [Vec<i32>; 2],
    /// Samples to a bit.
    period: f64,
}

impl Lines {
    /// The sidebands that the samples show; `None` when a tone has none of order 1 among them.
    fn of(residual: &Residual, clocks: [u32; 2], period: f64) -> Option<Self> {
        let orders = clocks.map(|clocks| orders(residual, clocks, MOST_ORDER));
        let offsets: Vec<f64> = orders
            .iter()
            .zip(clocks)
            .flat_map(|(orders, clocks)| {
                let offset = move |&order: &i32| f64::from(order) / f64::from(clocks);
                orders.iter().map(offset)
            })
            .collect();
        let has_fundamental = |orders: &Vec<i32>| orders.iter().any(|order| order.abs() == 1);
        orders.iter().all(has_fundamental).then(|| Self {
            sidebands: Sidebands::of(residual, &offsets, period, VALUES),
            orders,
            period,
        })
    }

    /// The place of a tone's first sideband.
    fn first(&self, tone: usize) -> usize {
        tone * self.orders[0].len()
    }

    /// The power of a tone's sidebands of order 1 in each bit.
    fn powers(&self, tone: usize, start: f64, count: usize) -> Vec<f64> {
        let mut powers = vec![0.0; count];
        for (line, order) in (self.first(tone)..).zip(&self.orders[tone]) {
            if order.abs() != 1 {
                continue;
            }
            let means = self.sidebands.means(line, start, self.period, count);
            for (power, y) in powers.iter_mut().zip(means) {
                *power += y.norm_sqr();
            }
        }
        powers
    }

    /// For each sideband of a tone the mean envelope of every bit, its phase counted from the start of the bit.
    fn seen(&self, tone: usize, start: f64, count: usize) -> Vec<Vec<Complex64>> {
        let first = self.first(tone);
        (first..first + self.orders[tone].len())
            .map(|line| {
                let offset = self.sidebands.offset(line);
                let means = self.sidebands.means(line, start, self.period, count);
                means
                    .enumerate()
                    .map(|(bit, y)| {
                        let begin = start + bit as f64 * self.period;
                        y * Complex64::cis(TAU * (offset * begin).fract())
                    })
                    .collect()
            })
            .collect()
    }
}

/// The bits, each judged alone.
struct Alone {
    /// Log-likelihood ratios of the first tone against the second.
    ratios: Vec<f64>,
    /// The probability of the first tone.
    weights: Vec<f64>,
    /// Of all bits over noise alone, natural logarithm.
    log_likelihood: f64,
}

impl Alone {
    /// What the bits are and the tones look like, from a first guess of how likely each bit has the first tone.
    fn learned(tones: &mut [Tone; 2], likely: impl Iterator<Item = f64>) -> Self {
        let weights: Vec<f64> = likely.collect();
        tones[0].begin(&weights);
        tones[1].begin(&opposite(&weights));
        let mut alone = Self::judged(tones);
        for _ in 0..ROUNDS {
            tones[0].learn(&alone.weights);
            tones[1].learn(&opposite(&alone.weights));
            alone = Self::judged(tones);
        }
        alone
    }

    fn judged(tones: &mut [Tone; 2]) -> Self {
        let [first, second] = tones.each_mut().map(Tone::likelihoods);
        let ratios: Vec<f64> = first.iter().zip(&second).map(|(a, b)| a - b).collect();
        let weight = |ratio: &f64| 1.0 / (1.0 + (-ratio).exp());
        let either = |(a, b): (&f64, &f64)| {
            let most = a.max(*b);
            most + (0.5 * ((a - most).exp() + (b - most).exp())).ln()
        };
        Self {
            weights: ratios.iter().map(weight).collect(),
            log_likelihood: first.iter().zip(&second).map(either).sum(),
            ratios,
        }
    }
}

fn opposite(weights: &[f64]) -> Vec<f64> {
    weights.iter().map(|weight| 1.0 - weight).collect()
}
