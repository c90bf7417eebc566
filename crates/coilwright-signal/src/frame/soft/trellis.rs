//! Exact soft decoding of frames whose checks overlap little.
//!
//! The variables are gone through in order; the state is the sum so far of the checks that have begun and not ended
//! (the syndrome trellis of Wolf, IEEE Trans. Information Theory 24, 1978; from memory). The recursion keeps for each
//! state the best word (Viterbi) and the sum over all words.

use super::logarithm::log_sum;
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
    let nothing = f64::NEG_INFINITY;
    let mut best = vec![nothing; states];
    let mut total = vec![nothing; states];
    (best[0], total[0]) = (0.0, 0.0);
    let mut came_with: Vec<Vec<(u8, usize)>> = Vec::with_capacity(problem.variables.len());
    for (k, variable) in problem.variables.iter().enumerate() {
        let (mask, value) = slots.ended[k];
        let (mut next, mut sums) = (vec![nothing; states], vec![nothing; states]);
        let mut came = vec![(0, 0); states];
        for state in (0..states).filter(|&state| best[state] > nothing) {
            for bit in 0..2_u8 {
                let to = if bit == 1 {
                    state ^ slots.entered[k]
                } else {
                    state
                };
                if to & mask != value {
                    continue;
                }
                let to = to & !mask;
                let weight = variable.weights[usize::from(bit)];
                sums[to] = log_sum(sums[to], total[state] + weight);
                if best[state] + weight > next[to] {
                    next[to] = best[state] + weight;
                    came[to] = (bit, state);
                }
            }
        }
        (best, total) = (next, sums);
        came_with.push(came);
    }
    if !best[0].is_finite() {
        return None;
    }
    let mut state = 0;
    let mut word: Vec<u8> = came_with
        .iter()
        .rev()
        .map(|came| {
            let (bit, from) = came[state];
            state = from;
            bit
        })
        .collect();
    word.reverse();
    Some(Decoded {
        word,
        log_likelihood: problem.constant + best[0],
        log_total: problem.constant + total[0],
    })
}
