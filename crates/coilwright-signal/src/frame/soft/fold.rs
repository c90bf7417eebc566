use std::f64::consts::LN_2;

use super::Coding;
use super::logarithm::log_sigmoid;

/// The sum over the repeats of a cycle.
pub(super) struct Folded {
    /// One cycle of log-likelihood ratios.
    pub ratios: Vec<f32>,
    /// Whether the values invert from one repeat to the next, as differential coding does after an odd number of ones.
    pub closing: Closing,
    /// How many repeats went in; the last may be partial.
    pub repeats: f64,
    /// Natural logarithm of the odds that the values repeat over that they are random.
    pub coherence: f64,
}

/// How a cycle of values goes on with its repeat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Closing {
    /// With the same values.
    Same,
    /// With inverted values.
    Inverted,
}

/// Adds up the repeats of a cycle of `cycle` values, in each way that the cycle may close; none when there is less than
/// one cycle.
pub(super) fn fold(ratios: &[f32], cycle: usize, coding: Coding) -> Vec<Folded> {
    if cycle == 0 || ratios.len() < cycle {
        return Vec::new();
    }
    closings(ratios, cycle, coding)
        .iter()
        .map(|&closing| {
            let mut sums = vec![0.0; cycle];
            let mut sign = 1.0;
            for repeat in ratios.chunks(cycle) {
                for (sum, ratio) in sums.iter_mut().zip(repeat) {
                    *sum += sign * ratio;
                }
                if closing == Closing::Inverted {
                    sign = -sign;
                }
            }
            Folded {
                coherence: coherence(ratios, &sums, closing),
                ratios: sums,
                closing,
                repeats: ratios.len() as f64 / cycle as f64,
            }
        })
        .collect()
}

/// ln of the likelihood of all values if each repeats the sign of its sum, over that of random values; every sign of the
/// cycle is taken to be as likely as not beforehand.
fn coherence(ratios: &[f32], sums: &[f32], closing: Closing) -> f64 {
    let cycle = sums.len();
    let of_values: f64 = ratios
        .iter()
        .enumerate()
        .map(|(k, &ratio)| {
            let inverted = closing == Closing::Inverted && (k / cycle) % 2 == 1;
            let agrees = (sums[k % cycle] > 0.0) != inverted;
            LN_2 + log_sigmoid(f64::from(if agrees { ratio } else { -ratio }))
        })
        .sum();
    of_values - cycle as f64 * LN_2
}

/// What the overlap says of how the cycle closes; both ways where it is too short to say.
fn closings(ratios: &[f32], cycle: usize, coding: Coding) -> &'static [Closing] {
    if coding == Coding::Direct {
        return &[Closing::Same];
    }
    if ratios.len() < cycle + cycle / 2 {
        return &[Closing::Same, Closing::Inverted];
    }
    let agreement: f32 = ratios
        .iter()
        .zip(&ratios[cycle..])
        .map(|(a, b)| a * b)
        .sum();
    if agreement < 0.0 {
        &[Closing::Inverted]
    } else {
        &[Closing::Same]
    }
}
