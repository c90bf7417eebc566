//! Soft decoding of any linear check: the cheapest pattern of flips among the least sure variables that meets it
//! (D. Chase, IEEE Trans. Information Theory 18, 1972; from memory).

use std::f64::consts::LN_2;

use super::logarithm::{log_difference, log_sum};
use super::problem::{Problem, Variable};
use super::trellis::Decoded;

/// How many of the least sure variables may be flipped.
const FLIPPABLE: usize = 12;

/// The best word of `problem` that differs from the hard decisions in the least sure variables only, or `None` when
/// none meets the target. To the sum over all words, those out of its reach are added by estimate.
pub(super) fn decode(problem: &Problem) -> Option<Decoded> {
    let hard: Vec<u8> = problem
        .variables
        .iter()
        .map(|variable| u8::from(variable.ratio() > 0.0))
        .collect();
    let weight = |(variable, &bit): (&Variable, &u8)| variable.weights[usize::from(bit)];
    let of_hard: f64 = problem.variables.iter().zip(&hard).map(weight).sum();
    let syndrome = problem
        .variables
        .iter()
        .zip(&hard)
        .filter(|(_, bit)| **bit == 1)
        .fold(problem.target, |sum, (variable, _)| sum ^ variable.column);
    let order = least_sure(&problem.variables);
    let column = |index: usize| problem.variables[order[index]].column;
    let cost = |index: usize| problem.variables[order[index]].ratio().abs();
    let (mut best, mut total) = (None, f64::NEG_INFINITY);
    let (mut left, mut spent) = (syndrome, 0.0);
    let mut pattern = 0_u32;
    // Gray code: from one pattern to the next a single flip changes.
    for step in 0..1_u32 << order.len() {
        if step > 0 {
            let index = step.trailing_zeros() as usize;
            pattern ^= 1 << index;
            left ^= column(index);
            spent += if (pattern >> index) & 1 == 1 {
                cost(index)
            } else {
                -cost(index)
            };
        }
        if left == 0 {
            total = log_sum(total, -spent);
            if best.is_none_or(|(least, _)| spent < least) {
                best = Some((spent, pattern));
            }
        }
    }
    let (spent, pattern) = best?;
    let mut word = hard;
    for (index, &place) in order.iter().enumerate() {
        word[place] ^= (pattern >> index) as u8 & 1;
    }
    Some(Decoded {
        word,
        log_likelihood: problem.constant + of_hard - spent,
        log_total: problem.constant + of_hard + log_sum(total, unreached(problem, &order)),
    })
}

/// ln of the likelihood, over that of the hard decisions, that words out of reach are to be expected to have: that of all
/// patterns with a flip out of reach, of which a share of 2^(−checks) meets the target.
///
/// Flips of what no check covers are in it too, as if they had to meet the target; they are added in full.
fn unreached(problem: &Problem, order: &[usize]) -> f64 {
    let either = |variable: &Variable| (-variable.ratio().abs()).exp().ln_1p();
    let covered = problem
        .variables
        .iter()
        .filter(|variable| variable.column != 0);
    let all: f64 = covered.map(either).sum();
    let reached: f64 = order.iter().map(|&k| either(&problem.variables[k])).sum();
    let checks = (problem.variables.len() - problem.free_bits()) as f64;
    let beyond = log_difference(all, reached) - checks * LN_2;
    let free = problem
        .variables
        .iter()
        .filter(|variable| variable.column == 0);
    let unchecked: f64 = free.map(either).sum();
    log_sum(beyond, log_difference(unchecked, 0.0))
}

/// The places of the variables that checks cover, the least sure first.
fn least_sure(variables: &[Variable]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..variables.len())
        .filter(|&k| variables[k].column != 0)
        .collect();
    let size = |k: &usize| variables[*k].ratio().abs();
    order.sort_by(|a, b| size(a).total_cmp(&size(b)));
    order.truncate(FLIPPABLE);
    order
}
