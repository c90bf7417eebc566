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
    let mut log_likelihoods = vec![0.0; count];
    for round in 0..=ROUNDS {
        if round == 0 {
            tones[0].begin(&weights);
            tones[1].begin(&opposite(&weights));
        } else {
            tones[0].learn(&weights);
            tones[1].learn(&opposite(&weights));
        }
        let likelihoods = [tones[0].likelihoods(), tones[1].likelihoods()];
        for (bit, ratio) in ratios.iter_mut().enumerate() {
            *ratio = likelihoods[0][bit] - likelihoods[1][bit];
            weights[bit] = 1.0 / (1.0 + (-*ratio).exp());
            let [first, second] = [0, 1].map(|tone: usize| likelihoods[tone][bit]);
            let most = first.max(second);
            log_likelihoods[bit] =
                most + (0.5 * ((first - most).exp() + (second - most).exp())).ln();
        }
    }
    let alone: f64 = log_likelihoods.iter().sum();
    let followed = divider::follow(&tones, clocks, clocks_per_bit, &weights);
    if let Some(followed) = followed.filter(|followed| followed.log_likelihood > alone) {
        for (tone, templates) in tones.iter_mut().zip(followed.templates) {
            tone.templates = templates;
        }
        ratios = followed.ratios;
    }
    let power = 0.5 * (tones[0].power() + tones[1].power());
    Some(ToneBits {
        ratios,
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
