use super::judge::Condition;
use super::number::COUNT;
use super::state::State;
use crate::Estimate;

/// What a condition's predictions need of the sound coil.
#[derive(Clone, Copy, Debug)]
pub(super) struct SoundCoil {
    /// Q of the ring at its resonance.
    pub(super) q: f64,
    /// `ωL/R` with the direct-current resistance, where it is known.
    pub(super) direct_q: Option<f64>,
    /// Relative standard deviation of the standard's inductance and capacitance.
    pub(super) inductance_spread: f64,
    pub(super) capacitance_spread: f64,
    /// Turns, where they are known.
    pub(super) turns: Option<f64>,
}

impl SoundCoil {
    /// The least size that counts as a fault: what lies within two standard deviations of the standard is within its tolerance.
    pub(super) fn least(usual: f64, spread: f64) -> f64 {
        usual.max(2.0 * spread)
    }
}

/// One size of a condition.
#[derive(Clone, Copy, Debug)]
pub(super) struct Case {
    pub(super) state: State,
    /// Weight among the condition's cases; they sum to one.
    pub(super) weight: f64,
    /// What the size is called after: part of turns, relative drift, relative change of the inductance.
    pub(super) size: f64,
}

/// What an ohmmeter would show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum DirectPath {
    /// Nothing flows.
    Broken,
    /// Only the leads.
    Bridged,
    /// A winding.
    Winding,
}

/// What the numbers look like under a condition.
pub(super) enum Prediction {
    /// Cases, with relative standard deviations of what the model leaves out.
    Cases {
        cases: Vec<Case>,
        model: [f64; COUNT],
    },
    /// No coil is left to compute: density of each number's logarithm, given the ratio's logarithm.
    Loose(fn(usize, f64) -> f64),
    /// One as often as the other.
    Either(Box<[Prediction; 2]>),
}

/// One condition: its physics, how common it is, what it predicts.
pub(super) trait Hypothesis {
    fn condition(&self) -> Condition;
    /// Probability before anything is measured. Common practice, no source.
    fn prior(&self) -> f64;
    fn predict(&self, coil: &SoundCoil) -> Prediction;
    fn direct_path(&self) -> DirectPath {
        DirectPath::Winding
    }
    /// Probability that something is seen to ring, where no Q is predicted. What is not modelled falls silent in one case of five.
    fn seen_ringing(&self) -> f64 {
        0.8
    }
    /// What happens in the coil, in one or two sentences.
    fn physics(&self) -> &'static str;
    /// What would confirm it.
    fn confirm(&self) -> &'static str;
    /// The size in words.
    fn size_text(&self, _size: Estimate, _coil: &SoundCoil) -> Option<String> {
        None
    }
}

/// `count` values from `low` to `high`, evenly in the logarithm.
pub(super) fn spaced(low: f64, high: f64, count: usize) -> impl Iterator<Item = f64> + Clone {
    let step = (high / low).ln() / (count - 1) as f64;
    (0..count).map(move |n| low * (step * n as f64).exp())
}

/// `count` points that fill the unit cube evenly in any number of its dimensions: a grid of as many points would leave gaps wider than what a
/// measurement resolves (Halton, Numer. Math. 2 (1960) 84, from memory).
pub(super) fn scattered<const N: usize>(count: usize) -> impl Iterator<Item = [f64; N]> {
    const BASES: [usize; 7] = [2, 3, 5, 7, 11, 13, 17];
    (1..=count).map(|n| std::array::from_fn(|dimension| mirrored(n, BASES[dimension])))
}

/// The digits of a number behind the point in the opposite order.
fn mirrored(mut number: usize, base: usize) -> f64 {
    let (mut value, mut place) = (0.0, 1.0);
    while number > 0 {
        place /= base as f64;
        value += place * (number % base) as f64;
        number /= base;
    }
    value
}

/// The value between the ends at a place between 0 and 1, evenly in the logarithm.
pub(super) fn between(ends: (f64, f64), place: f64) -> f64 {
    ends.0 * (ends.1 / ends.0).powf(place)
}

/// Gives all cases one weight.
pub(super) fn evenly(mut cases: Vec<Case>) -> Vec<Case> {
    let weight = (cases.len().max(1) as f64).recip();
    for case in &mut cases {
        case.weight = weight;
    }
    cases
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scattered_points_fill_every_cell() {
        let mut cells = [0; 64];
        for [a, b, c] in scattered::<3>(6400) {
            cells[16 * (4.0 * a) as usize + 4 * (4.0 * b) as usize + (4.0 * c) as usize] += 1;
        }
        // 100 a cell; independent random points would scatter by ten.
        assert!(cells.iter().all(|n| (92..=108).contains(n)), "{cells:?}");
        assert!((mirrored(6, 2) - 0.375).abs() < 1e-15);
    }
}
