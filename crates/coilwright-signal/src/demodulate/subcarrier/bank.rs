use num_complex::Complex64;

use super::residual::Residual;
use super::sidebands::{Sidebands, orders};
use crate::demodulate::model::Detection;
use crate::demodulate::modulation::Modulation;

/// Subcarriers of frequency-shift keys, faster first (T5557 data sheet 4517E, p 15: RF/8 and RF/5, RF/8 and RF/10).
pub(super) const FSK_CLOCKS: [[u32; 2]; 2] = [[8, 10], [5, 8]];
/// Subcarriers of phase-shift keys (same source: RF/2, RF/4, RF/8).
pub(super) const PSK_CLOCKS: [u32; 3] = [2, 4, 8];
/// Bit lengths of the data sheets in carrier periods, but for those too short to hold a subcarrier.
const BIT_CLOCKS: [u32; 6] = [64, 40, 32, 50, 100, 128];
/// The halves of Manchester bits that are shorter than those.
pub(super) const HALF_CLOCKS: [u32; 2] = [20, 25];
/// A faster bit, of which a phase needs no more than two periods of its subcarrier.
const FAST_BIT_CLOCKS: u32 = 16;

/// Values to the shortest of the common bit lengths.
const VALUES: f64 = 16.0;
const VALUES_OF_CLOCKS: f64 = 32.0;
/// A bit length whose statistic reaches this share of the threshold is looked at more finely.
const NEAR: f64 = 0.5;
/// Bit phases that are tried.
const PHASES: usize = 8;
/// Phases round the best one at which the power is looked at: a sixteenth of a bit beside it a long bit would explain 6 %
/// less than short ones, whose steps are finer.
const FINER: [f64; 4] = [-3.0 / 64.0, -1.5 / 64.0, 1.5 / 64.0, 3.0 / 64.0];
/// Fewer bits than this decide nothing.
const MIN_BITS: usize = 24;
/// From this statistic on a subcarrier counts. How often noise alone reaches it has not been measured.
const THRESHOLD: f64 = 7.5;
/// How much the threshold rises for few bits.
const FEW_BITS: f64 = 4.0;
/// So many bit lengths of a modulation are read.
const RATES: usize = 4;
/// What a bit of its own must explain, in units of noise: a part of the right bit length explains as much as that, and one
/// that is 1.25 to 2 times too long a quarter to a half less.
const OWN_BIT: f64 = 0.25;
/// Of what stands out of noise by this much a bit, the longest bit length may leave a tenth unexplained: what a ring smears, and
/// what each tone leaks into the filters of the other, goes to short bits.
const STRONG_BIT: f64 = 4.0;
const LEAKED: f64 = 0.1;
/// A part of another bit length that explains no more than this many times as much is no bit length of its own.
const NO_MORE: f64 = 1.01;
/// Modulations that explain less than this share of what the best one does are no rivals: one tone of two explains half.
const RIVAL: f64 = 0.4;
/// One tone must explain this share of what two do.
const OF_TWO_TONES: f64 = 0.9;
/// Each tone of a frequency-shift key holds at least this share of the power.
const LEAST_SHARE: f64 = 0.08;
/// From this coherence of the two sidebands of each tone on, in standard deviations of noise alone, a statistic of
/// this share of the threshold counts: nothing but modulation makes both sides of the carrier alike.
const COHERENT: f64 = 4.5;
const COHERENT_SHARE: f64 = 0.68;
/// Variance of the squared difference of two powers in noise, each of unit mean: 24 − 4.
const SQUARE_VARIANCE: f64 = 20.0;

/// A modulation, a bit length and how well they fit.
#[derive(Clone, Copy, Debug)]
pub(in crate::demodulate) struct Candidate {
    pub modulation: Modulation,
    pub clocks_per_bit: u32,
    /// Largest less smallest matched-filter energy over the bit phases, in standard deviations of noise alone, at the bit
    /// length that shows the modulation best.
    pub statistic: f64,
    pub threshold: f64,
    /// The power that it explains, relative to the carrier's.
    pub power: f64,
    /// The energy that it explains, in units of noise, less [`OWN_BIT`] for each bit.
    evidence: f64,
    bits: f64,
}

impl Candidate {
    /// What ranks modulations that are rivals: the power. Of a single tone whose phase turns, two tones take the same and
    /// some noise.
    fn claim(&self) -> f64 {
        match self.modulation {
            Modulation::Fsk { .. } => OF_TWO_TONES * self.power,
            _ => self.power,
        }
    }

    /// The evidence that a longer bit length must have where this one has the most.
    fn least_of_longer(&self) -> f64 {
        self.evidence - LEAKED * (self.evidence - STRONG_BIT * self.bits).max(0.0)
    }

    /// Whether the other bit length is a part of this one and explains no more.
    fn makes_needless(&self, other: &Self) -> bool {
        self.clocks_per_bit > other.clocks_per_bit
            && self.clocks_per_bit.is_multiple_of(other.clocks_per_bit)
            && other.power <= NO_MORE * self.power
    }

    pub(in crate::demodulate) fn is_modulated(&self) -> bool {
        self.statistic >= self.threshold
    }

    pub(in crate::demodulate) fn detection(&self) -> Detection {
        Detection {
            modulated: self.is_modulated(),
            statistic: self.statistic,
            threshold: self.threshold,
            clocks_per_bit: Some(self.clocks_per_bit),
        }
    }
}

/// The bit lengths that go with a modulation.
fn bit_clocks(modulation: Modulation) -> Vec<u32> {
    let fast = matches!(modulation, Modulation::Psk { .. }).then_some(FAST_BIT_CLOCKS);
    let all = BIT_CLOCKS.into_iter().chain(HALF_CLOCKS).chain(fast);
    all.collect()
}

/// The bit lengths of each of `modulations` that count, the modulation that explains most first, given the noise power per
/// hertz over the carrier's.
pub(super) fn candidates(
    residual: &Residual,
    modulations: &[Modulation],
    noise_per_hz: f64,
) -> Vec<Candidate> {
    let mut found: Vec<Vec<Candidate>> = modulations
        .iter()
        .map(|&modulation| best_rates(residual, modulation, noise_per_hz))
        .collect();
    let claim = |rates: &Vec<Candidate>| rates.first().map_or(0.0, Candidate::claim);
    let most = found.iter().map(claim).fold(0.0, f64::max);
    found.retain(|rates| claim(rates) >= RIVAL * most);
    found.sort_by(|a, b| claim(b).total_cmp(&claim(a)));
    found.concat()
}

/// The bit lengths of a modulation that count, the likeliest first.
fn best_rates(residual: &Residual, modulation: Modulation, noise_per_hz: f64) -> Vec<Candidate> {
    let tones: Vec<u32> = modulation.subcarrier_clocks();
    let lines: Vec<Vec<f64>> = tones
        .iter()
        .map(|&clocks| {
            let signs = orders(residual, clocks, 1).into_iter();
            signs.map(|k| f64::from(k) / f64::from(clocks)).collect()
        })
        .collect();
    if lines.iter().any(Vec::is_empty) {
        return Vec::new();
    }
    let period = VALUES_OF_CLOCKS / residual.clock_frequency;
    let sidebands = Sidebands::of(residual, &lines.concat(), period, VALUES);
    let split = lines[0].len();
    let mut scores: Vec<Candidate> = bit_clocks(modulation)
        .into_iter()
        .filter_map(|clocks| {
            score(
                residual,
                &sidebands,
                split,
                modulation,
                clocks,
                noise_per_hz,
            )
        })
        .collect();
    let shown = |score: &Candidate| score.statistic / score.threshold;
    let best = scores.iter().max_by(|a, b| shown(a).total_cmp(&shown(b)));
    let Some(best) = best.copied().filter(Candidate::is_modulated) else {
        return Vec::new();
    };
    // One bit length that shows the modulation is enough; which one it is, the evidence says.
    scores.retain(|score| score.statistic > 0.0);
    for score in &mut scores {
        (score.statistic, score.threshold) = (best.statistic, best.threshold);
    }
    let all = scores.clone();
    scores.retain(|score| !all.iter().any(|longer| longer.makes_needless(score)));
    scores.sort_by(|a, b| b.evidence.total_cmp(&a.evidence));
    let least = scores.first().map_or(0.0, Candidate::least_of_longer);
    let longest = (0..scores.len())
        .filter(|&rank| scores[rank].evidence >= least)
        .max_by_key(|&rank| scores[rank].clocks_per_bit);
    if let Some(longest) = longest {
        scores[..=longest].rotate_right(1);
    }
    scores.truncate(RATES);
    scores
}

/// The energies of the bits at one bit phase, in units of noise.
struct Energies {
    /// What enters the statistic.
    total: f64,
    /// The mean power that is explained, and the share of the first tone in it.
    power: f64,
    first: f64,
    /// How coherent the sidebands are on both sides of the carrier, in standard deviations; the lesser of two tones.
    coherence: f64,
}

fn score(
    residual: &Residual,
    sidebands: &Sidebands,
    split: usize,
    modulation: Modulation,
    clocks: u32,
    noise_per_hz: f64,
) -> Option<Candidate> {
    let period = f64::from(clocks) / residual.clock_frequency;
    let bits = sidebands.count(sidebands.begin(), period).checked_sub(1)?;
    let noise = noise_per_hz * residual.sample_rate_hz / period;
    if bits < MIN_BITS || noise <= 0.0 {
        return None;
    }
    let at = |phase: f64| {
        let start = sidebands.begin() + phase.rem_euclid(1.0) * period;
        let means = |line: usize| sidebands.means(line, start, period, bits);
        match modulation {
            Modulation::Psk { .. } => phase_energies(sidebands.lines(), bits, means, noise),
            _ => tone_energies([0..split, split..sidebands.lines()], bits, means, noise),
        }
    };
    let trials: Vec<(f64, Energies)> = (0..PHASES)
        .map(|k| k as f64 / PHASES as f64)
        .map(|phase| (phase, at(phase)))
        .collect();
    let (phase, best) = trials
        .iter()
        .max_by(|a, b| a.1.total.total_cmp(&b.1.total))?;
    let least = trials
        .iter()
        .map(|trial| trial.1.total)
        .fold(f64::INFINITY, f64::min);
    let count = bits as f64;
    let variance = match modulation {
        // Along the better of two axes, for each sideband: half of the noise.
        Modulation::Psk { .. } => 0.5 * sidebands.lines() as f64,
        _ => SQUARE_VARIANCE,
    };
    let one_tone = best.first.min(1.0 - best.first) < LEAST_SHARE;
    let statistic = (best.total - least) / (variance * count).sqrt();
    let share = if best.coherence > COHERENT {
        COHERENT_SHARE
    } else {
        1.0
    };
    let mut candidate = Candidate {
        modulation,
        clocks_per_bit: clocks,
        statistic: if one_tone { 0.0 } else { statistic },
        threshold: share * THRESHOLD * (1.0 + FEW_BITS / count.sqrt()),
        power: 0.0,
        evidence: 0.0,
        bits: count,
    };
    let mut power = best.power;
    if candidate.statistic > NEAR * candidate.threshold {
        let near = FINER.map(|step| at(phase + step).power);
        power = near.into_iter().fold(power, f64::max);
    }
    candidate.power = power.max(0.0) * noise;
    candidate.evidence = count * (power - OWN_BIT);
    Some(candidate)
}

/// The energy of each sideband along its axis: (Σ |y|² + |Σ y²|) / 2.
fn phase_energies<I: Iterator<Item = Complex64>>(
    lines: usize,
    bits: usize,
    means: impl Fn(usize) -> I,
    noise: f64,
) -> Energies {
    let along = |line: usize| {
        let (power, square) = means(line)
            .fold((0.0, Complex64::default()), |(power, square), y| {
                (power + y.norm_sqr(), square + y * y)
            });
        f64::midpoint(power, square.norm())
    };
    let total = (0..lines).map(along).sum::<f64>() / noise;
    Energies {
        total,
        power: total / bits as f64 - 0.5 * lines as f64,
        first: 0.5,
        coherence: 0.0,
    }
}

/// The squared difference of the powers of the two tones, bit by bit.
///
/// With a tone of power S and noise of power 1 its mean is S² + 2S + 2, from which S follows without a bias that would favour
/// long bits. A bit that holds half of each tone adds next to nothing.
fn tone_energies<I: Iterator<Item = Complex64>>(
    tones: [std::ops::Range<usize>; 2],
    bits: usize,
    means: impl Fn(usize) -> I,
    noise: f64,
) -> Energies {
    let [first, second] = tones.map(|lines| TonePowers::of(lines, bits, &means, noise));
    let mut energies = Energies {
        total: 0.0,
        power: 0.0,
        first: 0.0,
        coherence: first.coherence.min(second.coherence),
    };
    for (&a, &b) in first.powers.iter().zip(&second.powers) {
        energies.total += (a - b).powi(2);
    }
    energies.power = (energies.total / bits as f64 - 1.0).max(0.0).sqrt() - 1.0;
    let excess = |powers: &[f64]| (powers.iter().sum::<f64>() / bits as f64 - 1.0).max(0.0);
    let (one, other) = (excess(&first.powers), excess(&second.powers));
    energies.first = one / (one + other).max(1e-300);
    energies
}

/// The power of a tone in each bit, its two sidebands brought together.
///
/// The upper sideband turns with the subcarrier's phase and the lower one against it, so the phase of their product is
/// the same in every bit; with it the two add up as amplitudes.
struct TonePowers {
    /// In units of noise.
    powers: Vec<f64>,
    coherence: f64,
}

impl TonePowers {
    fn of<I: Iterator<Item = Complex64>>(
        lines: std::ops::Range<usize>,
        bits: usize,
        means: impl Fn(usize) -> I,
        noise: f64,
    ) -> Self {
        if lines.len() < 2 {
            return Self {
                powers: means(lines.start).map(|y| y.norm_sqr() / noise).collect(),
                coherence: 0.0,
            };
        }
        let (lower, upper) = (lines.start, lines.start + 1);
        let (mut product, mut sizes) = (Complex64::default(), [0.0, 0.0]);
        for (l, u) in means(lower).zip(means(upper)) {
            product += l * u;
            sizes[0] += l.norm_sqr();
            sizes[1] += u.norm_sqr();
        }
        let turn = product / product.norm().max(1e-300);
        let pairs = means(lower).zip(means(upper));
        Self {
            powers: pairs
                .map(|(l, u)| (u + (l.conj() * turn)).norm_sqr() / (2.0 * noise))
                .collect(),
            coherence: product.norm() / (sizes[0] * sizes[1]).sqrt().max(1e-300)
                * (bits as f64).sqrt(),
        }
    }
}
