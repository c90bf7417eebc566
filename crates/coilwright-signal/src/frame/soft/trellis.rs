//! Exact soft decoding of frames whose checks overlap little.
//!
//! The variables are gone through in order; the state is the sum so far of the checks that have begun and not ended
//! (the syndrome trellis of Wolf, IEEE Trans. Information Theory 24, 1978; from memory). The recursion keeps for each
//! state the best word (Viterbi) and the sum over all words.

use super::problem::Problem;

/// Checks that may be open at once.
const OPEN_AT_MOST: usize = 7;

/// The best word and how it stands among all.
pub(super) struct Decoded {
    /// A value for each variable.
    pub word: Vec<u8>,
    /// ln P of what was received given the word.
    pub log_likelihood: f64,
    /// ln of the sum of the same over all words that meet the target.
    pub log_total: f64,
}

/// Where each check is kept while it is open.
struct Slots {
    /// For each variable, the slots that it enters.
    entered: Vec<usize>,
    /// For each variable, the slots that end with it, and what they must hold.
    ended: Vec<(usize, usize)>,
    width: usize,
}

/// The checks of a problem laid into slots, or `None` when too many are open at once or one cannot be met.
fn slots(problem: &Problem) -> Option<Slots> {
    let variables = &problem.variables;
    let mut slots = Slots {
        entered: vec![0; variables.len()],
        ended: vec![(0, 0); variables.len()],
        width: 0,
    };
    let mut busy_until = [None; OPEN_AT_MOST];
    let all = variables
        .iter()
        .fold(0, |all, variable| all | variable.column);
    if problem.target & !all != 0 {
        return None;
    }
    for first in 0..variables.len() {
        let before = variables[..first]
            .iter()
            .fold(0, |all, variable| all | variable.column);
        let mut begun = variables[first].column & !before;
        while begun != 0 {
            let check = 1 << begun.trailing_zeros();
            begun &= begun - 1;
            let last = variables
                .iter()
                .rposition(|variable| variable.column & check != 0)?;
            let slot = busy_until
                .iter()
                .position(|until| until.is_none_or(|until| until < first))?;
            busy_until[slot] = Some(last);
            slots.width = slots.width.max(slot + 1);
            for (entered, variable) in slots.entered.iter_mut().zip(variables) {
                if variable.column & check != 0 {
                    *entered |= 1 << slot;
                }
            }
            let (mask, value) = &mut slots.ended[last];
            *mask |= 1 << slot;
            if problem.target & check != 0 {
                *value |= 1 << slot;
            }
        }
    }
    Some(slots)
}

/// The best word of `problem`, or `None` when no word meets the target or its checks overlap too much.
pub(super) fn decode(problem: &Problem) -> Option<Decoded> {
    let slots = slots(problem)?;
    let states = 1 << slots.width;
    let variables = &problem.variables;
    let mut best = vec![f64::NEG_INFINITY; states];
    // Sums of likelihoods over e^scale, the largest of them 1.
    let (mut total, mut scale) = (vec![0.0; states], 0.0);
    (best[0], total[0]) = (0.0, 1.0);
    let (mut next, mut sums) = (best.clone(), total.clone());
    let mut came_with = vec![Step::default(); variables.len() * states];
    for ((k, variable), came) in variables
        .iter()
        .enumerate()
        .zip(came_with.chunks_exact_mut(states))
    {
        let (mask, value) = slots.ended[k];
        let entered = [0, slots.entered[k]];
        let likelihoods = variable.weights.map(f64::exp);
        next.fill(f64::NEG_INFINITY);
        sums.fill(0.0);
        for state in (0..states).filter(|&state| best[state] > f64::NEG_INFINITY) {
            for bit in 0..2_u8 {
                let index = usize::from(bit);
                let to = state ^ entered[index];
                if to & mask != value {
                    continue;
                }
                let to = to & !mask;
                sums[to] += total[state] * likelihoods[index];
                let reached = best[state] + variable.weights[index];
                if reached > next[to] {
                    next[to] = reached;
                    came[to] = Step {
                        bit,
                        from: state as u8,
                    };
                }
            }
        }
        let largest = sums.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
        for (total, sum) in total.iter_mut().zip(&sums) {
            *total = sum / largest;
        }
        scale += largest.ln();
        std::mem::swap(&mut best, &mut next);
    }
    if !best[0].is_finite() {
        return None;
    }
    Some(Decoded {
        word: word(&came_with, states),
        log_likelihood: problem.constant + best[0],
        // What is too unlikely beside other states for double precision is not less than the best word alone.
        log_total: problem.constant + (scale + total[0].ln()).max(best[0]),
    })
}

/// How a state was reached.
#[derive(Clone, Copy, Default)]
struct Step {
    bit: u8,
    from: u8,
}

/// The word that ends in state 0, from how each state was reached.
fn word(came_with: &[Step], states: usize) -> Vec<u8> {
    let mut state = 0;
    let mut word: Vec<u8> = came_with
        .chunks_exact(states)
        .rev()
        .map(|came| {
            let step = came[state];
            state = usize::from(step.from);
            step.bit
        })
        .collect();
    word.reverse();
    word
}
