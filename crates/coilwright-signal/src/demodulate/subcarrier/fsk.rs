use std::f64::consts::TAU;

use num_complex::Complex64;

use super::output::Output;
use super::residual::Residual;
use super::sidebands::{Sidebands, balance, orders};
use super::timing::best_start;

/// Sidebands up to this order hold 96 % of a square subcarrier's power.
const MOST_ORDER: i32 = 9;
/// Values a bit.
const VALUES: f64 = 64.0;
/// Fewer bits than this show no templates.
const MIN_BITS: usize = 24;
/// Phases to a carrier period at which a subcarrier may begin a bit.
const PHASES_PER_CLOCK: u32 = 4;
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
/// coherent. Templates and weights are learned from the bits themselves by expectation maximisation.
pub(super) fn read(
    residual: &Residual,
    clocks: [u32; 2],
    clocks_per_bit: u32,
    noise: impl Fn(f64) -> f64,
) -> Option<ToneBits> {
    let period = f64::from(clocks_per_bit) / residual.clock_frequency;
    let noise = noise(period);
    let orders = clocks.map(|clocks| orders(residual, clocks, MOST_ORDER));
    let offsets: Vec<f64> = (0..2)
        .flat_map(|tone| {
            let clocks = f64::from(clocks[tone]);
            orders[tone]
                .iter()
                .map(move |&order| f64::from(order) / clocks)
        })
        .collect();
    let sidebands = Sidebands::of(residual, &offsets, period, VALUES);
    let split = orders[0].len();
    let fundamental = |tone: usize| {
        let orders = &orders[tone];
        (0..orders.len())
            .filter(|&line| orders[line].abs() == 1)
            .map(move |line| line + tone * split)
            .collect::<Vec<usize>>()
    };
    let fundamentals = [fundamental(0), fundamental(1)];
    if fundamentals.iter().any(Vec::is_empty) {
        return None;
    }
    let whole = sidebands.count(sidebands.begin(), period).checked_sub(1)?;
    let powers = |tone: usize, start: f64, count: usize| {
        let mut powers = vec![0.0; count];
        for &line in &fundamentals[tone] {
            for (power, y) in powers
                .iter_mut()
                .zip(sidebands.means(line, start, period, count))
            {
                *power += y.norm_sqr();
            }
        }
        powers
    };
    let start = best_start(sidebands.begin(), period, |start| {
        let (first, second) = (powers(0, start, whole), powers(1, start, whole));
        first.iter().zip(&second).map(|(a, b)| a.max(*b)).sum()
    });
    let count = sidebands.count(start, period);
    if count < MIN_BITS || noise <= 0.0 {
        return None;
    }
    let (first, second) = (powers(0, start, count), powers(1, start, count));
    let first_is_likely = |bit: usize| if first[bit] > second[bit] { 1.0 } else { 0.0 };
    let mut weights: Vec<f64> = (0..count).map(first_is_likely).collect();
    let mut tones = [0, 1].map(|tone| {
        let lines = (0..orders[tone].len()).map(|line| {
            let line = line + tone * split;
            let offset = sidebands.offset(line);
            let means = sidebands.means(line, start, period, count).enumerate();
            means
                .map(|(bit, y)| {
                    let begin = start + bit as f64 * period;
                    y * Complex64::cis(TAU * (offset * begin).fract())
                })
                .collect()
        });
        Tone::new(orders[tone].clone(), lines.collect(), clocks[tone], noise)
    });
    let mut ratios = vec![0.0; count];
    let mut evidence = 0.0;
    for round in 0..=ROUNDS {
        if round == 0 {
            tones[0].begin(&weights);
            tones[1].begin(&opposite(&weights));
        } else {
            tones[0].learn(&weights);
            tones[1].learn(&opposite(&weights));
        }
        let likelihoods = [tones[0].likelihoods(), tones[1].likelihoods()];
        evidence = 0.0;
        for (bit, ratio) in ratios.iter_mut().enumerate() {
            *ratio = likelihoods[0][bit] - likelihoods[1][bit];
            weights[bit] = 1.0 / (1.0 + (-*ratio).exp());
            let most = likelihoods[0][bit].max(likelihoods[1][bit]);
            evidence += most + (-ratio.abs()).exp().ln_1p() - std::f64::consts::LN_2;
        }
    }
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
        sidebands,
    })
}

fn opposite(weights: &[f64]) -> Vec<f64> {
    weights.iter().map(|weight| 1.0 - weight).collect()
}

/// One of the two tones: what is seen at its sidebands, and its templates.
struct Tone {
    orders: Vec<i32>,
    /// For each sideband the mean envelope of every bit, its phase counted from the start of the bit.
    seen: Vec<Vec<Complex64>>,
    noise: f64,
    /// e^(−jkψ) for each phase ψ and order k.
    turns: Vec<Vec<Complex64>>,
    templates: Vec<Complex64>,
    /// Weight of each ψ.
    phases: Vec<f64>,
    /// Probability of each ψ for each bit, if it has this tone.
    posterior: Vec<Vec<f64>>,
}

impl Tone {
    fn new(orders: Vec<i32>, seen: Vec<Vec<Complex64>>, clocks: u32, noise: f64) -> Self {
        let count = clocks * PHASES_PER_CLOCK;
        let turns = (0..count)
            .map(|p| {
                let phase = TAU * f64::from(p) / f64::from(count);
                let turn = |&order: &i32| Complex64::cis(-f64::from(order) * phase);
                orders.iter().map(turn).collect()
            })
            .collect();
        Self {
            templates: vec![Complex64::default(); orders.len()],
            phases: vec![1.0 / f64::from(count); count as usize],
            posterior: Vec::new(),
            orders,
            seen,
            noise,
            turns,
        }
    }

    /// The first templates, from the bits that probably have this tone: the sidebands of order 1, whose phases add up to
    /// the same in every bit.
    fn begin(&mut self, weights: &[f64]) {
        let total = weights.iter().sum::<f64>().max(1.0);
        let size = |seen: &[Complex64]| {
            let power: f64 = seen
                .iter()
                .zip(weights)
                .map(|(y, w)| y.norm_sqr() * w)
                .sum();
            (power / total - self.noise).max(0.1 * power / total).sqrt()
        };
        let line = |order: i32| self.orders.iter().position(|&found| found == order);
        match (line(1), line(-1)) {
            (Some(upper), Some(lower)) => {
                let pairs = self.seen[upper].iter().zip(&self.seen[lower]).zip(weights);
                let product: Complex64 = pairs.map(|((u, l), w)| u * l * w).sum();
                self.templates[upper] = size(&self.seen[upper]).into();
                self.templates[lower] =
                    Complex64::from_polar(size(&self.seen[lower]), product.arg());
            }
            (Some(one), None) | (None, Some(one)) => {
                self.templates[one] = size(&self.seen[one]).into();
            }
            (None, None) => {}
        }
    }

    /// Templates and weights of the phases as the bits show them, each with the probability that it has this tone.
    fn learn(&mut self, weights: &[f64]) {
        let total = weights.iter().sum::<f64>().max(1.0);
        for (line, template) in self.templates.iter_mut().enumerate() {
            let mut sum = Complex64::default();
            for ((y, weight), posterior) in self.seen[line].iter().zip(weights).zip(&self.posterior)
            {
                let turn: Complex64 = posterior
                    .iter()
                    .zip(&self.turns)
                    .map(|(p, t)| t[line] * p)
                    .sum();
                sum += y * turn * weight;
            }
            *template = sum / total;
        }
        let smallest = 1.0 / self.phases.len() as f64;
        let mut phases = vec![smallest; self.phases.len()];
        for (weight, posterior) in weights.iter().zip(&self.posterior) {
            for (phase, p) in phases.iter_mut().zip(posterior) {
                *phase += weight * p;
            }
        }
        let sum: f64 = phases.iter().sum();
        self.phases = phases.into_iter().map(|phase| phase / sum).collect();
    }

    /// For each bit the logarithm of the likelihood of this tone over that of noise alone.
    fn likelihoods(&mut self) -> Vec<f64> {
        let energy = self.power() / self.noise;
        let count = self.seen.first().map_or(0, Vec::len);
        self.posterior.clear();
        let mut likelihoods = Vec::with_capacity(count);
        let weights: Vec<f64> = self.phases.iter().map(|phase| phase.ln()).collect();
        let scaled: Vec<Complex64> = self
            .templates
            .iter()
            .map(|h| h.conj() * (2.0 / self.noise))
            .collect();
        let mut matched = vec![Complex64::default(); scaled.len()];
        for bit in 0..count {
            for (line, value) in matched.iter_mut().enumerate() {
                *value = self.seen[line][bit] * scaled[line];
            }
            let mut exponents: Vec<f64> = self
                .turns
                .iter()
                .zip(&weights)
                .map(|(turns, weight)| {
                    let along = turns
                        .iter()
                        .zip(&matched)
                        .map(|(t, m)| t.re * m.re - t.im * m.im);
                    weight + along.sum::<f64>()
                })
                .collect();
            let most = exponents.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let mut sum = 0.0;
            for exponent in &mut exponents {
                *exponent = (*exponent - most).exp();
                sum += *exponent;
            }
            for p in &mut exponents {
                *p /= sum;
            }
            likelihoods.push(most + sum.ln() - energy);
            self.posterior.push(exponents);
        }
        likelihoods
    }

    fn power(&self) -> f64 {
        self.templates.iter().map(Complex64::norm_sqr).sum()
    }

    fn balance(&self) -> f64 {
        balance(&self.orders, |line| self.templates[line].norm())
    }

    fn axis_rad(&self) -> f64 {
        let template = |order: i32| {
            let line = self.orders.iter().position(|&found| found == order)?;
            Some(self.templates[line])
        };
        match (template(1), template(-1)) {
            (Some(upper), Some(lower)) => (upper * lower).arg() / 2.0,
            _ => 0.0,
        }
    }
}
