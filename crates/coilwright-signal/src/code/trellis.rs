//! Line codes as machines of a few states: encoding, soft decoding, and how well a code explains what was received.

/// More states than any line code has here.
const STATES_AT_MOST: usize = 4;

/// What a bit does: the two half-bit levels that it sends and the state after it.
#[derive(Clone, Copy)]
pub(super) struct Step {
    pub levels: [u8; 2],
    pub next: usize,
}

/// A line code as a machine that takes a bit and sends two half-bit levels.
pub(super) trait Machine {
    /// Number of states, at most four.
    const STATES: usize;

    /// What `bit` (0 or 1) does in `state`.
    fn step(state: usize, bit: u8) -> Step;
}

/// A value for each state.
type Metrics = [f64; STATES_AT_MOST];

/// The half-bit levels of `bits` from `state` on.
pub(super) fn encode<M: Machine>(bits: &[u8], mut state: usize) -> Vec<u8> {
    bits.iter()
        .flat_map(|&bit| {
            let step = M::step(state, u8::from(bit != 0));
            state = step.next;
            step.levels
        })
        .collect()
}

/// Soft bits by max-log decoding: half the correlation of the best sequence with the bit 1 less that of the best with
/// the bit 0, so that a code of full swing ±a gives ±a. The states before and after are unknown.
///
/// This is the forward and backward recursion of Bahl, Cocke, Jelinek and Raviv (IEEE Trans. Information Theory 20,
/// 1974) with sums replaced by their largest term (from memory).
pub(super) fn decode_soft<M: Machine>(half_bits: &[f32]) -> Vec<f32> {
    let (pairs, _) = half_bits.as_chunks::<2>();
    let gain = |pair: &[f32; 2], levels: [u8; 2]| {
        0.5 * (signed(pair[0], levels[0]) + signed(pair[1], levels[1]))
    };
    let mut ahead = vec![[0.0; STATES_AT_MOST]; pairs.len() + 1];
    for (k, pair) in pairs.iter().enumerate().rev() {
        let after = ahead[k + 1];
        for (state, best) in ahead[k].iter_mut().enumerate().take(M::STATES) {
            let value = |bit| {
                let step = M::step(state, bit);
                gain(pair, step.levels) + after[step.next]
            };
            *best = value(0).max(value(1));
        }
    }
    let mut before: Metrics = [0.0; STATES_AT_MOST];
    pairs
        .iter()
        .zip(ahead.iter().skip(1))
        .map(|(pair, after)| {
            let mut next = [f64::NEG_INFINITY; STATES_AT_MOST];
            let mut best = [f64::NEG_INFINITY; 2];
            for (state, so_far) in before.iter().enumerate().take(M::STATES) {
                for bit in 0..2 {
                    let step = M::step(state, bit);
                    let value = so_far + gain(pair, step.levels);
                    next[step.next] = next[step.next].max(value);
                    let whole = &mut best[usize::from(bit)];
                    *whole = whole.max(value + after[step.next]);
                }
            }
            before = next;
            (0.5 * (best[1] - best[0])) as f32
        })
        .collect()
}

/// Natural logarithm of how much better the code explains half-bits than half-bits at random do, from their
/// log-likelihood ratios: ln Σ over all bit sequences of 2^(−bits) Π σ(±L), less the same for half-bits at random.
///
/// Half-bits that are certain and follow the code give ln 2 for each bit; each violation costs about its ratio.
pub(super) fn evidence<M: Machine>(ratios: &[f32]) -> f64 {
    let (pairs, _) = ratios.as_chunks::<2>();
    let mut weights = at_the_start::<M>();
    let mut sum = 0.0;
    for pair in pairs {
        let total = advance::<M>(&mut weights, &chances(*pair));
        sum += total.ln();
    }
    sum
}

/// What a code makes of half-bits.
pub(crate) struct Expected {
    /// As [`evidence`] gives it.
    pub evidence: f64,
    /// The mean level of each half-bit given all of them, −1 to 1.
    pub levels: Vec<f32>,
}

/// The mean levels of half-bits by the forward and backward recursion (as for [`decode_soft`], with sums), from their
/// log-likelihood ratios. An odd last half-bit stands alone.
pub(super) fn expected<M: Machine>(ratios: &[f32]) -> Expected {
    let (pairs, alone) = ratios.as_chunks::<2>();
    let chances: Vec<Chances> = pairs.iter().map(|pair| chances(*pair)).collect();
    let mut weights = at_the_start::<M>();
    let mut evidence = 0.0;
    let before: Vec<Metrics> = chances
        .iter()
        .map(|chances| {
            let before = weights;
            evidence += advance::<M>(&mut weights, chances).ln();
            before
        })
        .collect();
    let mut levels: Vec<f32> = ratios.iter().map(|ratio| (0.5 * ratio).tanh()).collect();
    let whole = levels.len() - alone.len();
    let (halves, _) = levels[..whole].as_chunks_mut::<2>();
    let mut after: Metrics = [1.0; STATES_AT_MOST];
    for ((chances, before), halves) in chances.iter().zip(&before).zip(halves).rev() {
        let (mut earlier, mut means, mut total): (Metrics, _, _) = ([0.0; 4], [0.0; 2], 0.0);
        for state in 0..M::STATES {
            for bit in 0..2 {
                let step = M::step(state, bit);
                let ahead = likelihood(chances, step.levels) * after[step.next];
                earlier[state] += ahead;
                let joint = before[state] * ahead;
                total += joint;
                for (mean, level) in means.iter_mut().zip(step.levels) {
                    *mean += joint * (2.0 * f64::from(level) - 1.0);
                }
            }
        }
        *halves = means.map(|mean| (mean / total.max(f64::MIN_POSITIVE)) as f32);
        let sum: f64 = earlier.iter().sum();
        after = earlier.map(|weight| weight / sum.max(f64::MIN_POSITIVE));
    }
    Expected { evidence, levels }
}

/// How likely each of two half-bits is low, and high.
type Chances = [[f64; 2]; 2];

fn chances(pair: [f32; 2]) -> Chances {
    pair.map(|ratio| [sigmoid(-f64::from(ratio)), sigmoid(ratio.into())])
}

fn likelihood(chances: &Chances, levels: [u8; 2]) -> f64 {
    chances[0][usize::from(levels[0])] * chances[1][usize::from(levels[1])]
}

/// Every state alike.
fn at_the_start<M: Machine>() -> Metrics {
    let mut weights: Metrics = [0.0; STATES_AT_MOST];
    weights[..M::STATES].fill(1.0 / M::STATES as f64);
    weights
}

/// Takes the weights of the states over a bit, and returns how likely it is over half-bits at random.
fn advance<M: Machine>(weights: &mut Metrics, chances: &Chances) -> f64 {
    let mut next: Metrics = [0.0; STATES_AT_MOST];
    for (state, &weight) in weights.iter().enumerate().take(M::STATES) {
        for bit in 0..2 {
            let step = M::step(state, bit);
            // Half for the bit; four for two half-bits at random.
            next[step.next] += 2.0 * weight * likelihood(chances, step.levels);
        }
    }
    let total = next.iter().sum::<f64>().max(f64::MIN_POSITIVE);
    *weights = next.map(|weight| weight / total);
    total
}

fn signed(value: f32, level: u8) -> f64 {
    if level == 0 {
        -f64::from(value)
    } else {
        f64::from(value)
    }
}

/// σ(x) = 1 / (1 + e^(−x)), not quite 0 so that one impossible half-bit does not end everything.
fn sigmoid(x: f64) -> f64 {
    const LEAST: f64 = 1e-12;
    (1.0 / (1.0 + (-x).exp())).max(LEAST)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::code::biphase::Biphase;
    use crate::code::miller::Miller;

    /// Evidence and mean levels from every sequence of bits and every state before it, one by one.
    fn by_definition<M: Machine>(ratios: &[f32]) -> (f64, Vec<f64>) {
        let bits = ratios.len() / 2;
        let (mut total, mut means) = (0.0, vec![0.0; ratios.len()]);
        for state in 0..M::STATES {
            for sequence in 0..1_u32 << bits {
                let sent: Vec<u8> = (0..bits).map(|k| (sequence >> k & 1) as u8).collect();
                let levels = encode::<M>(&sent, state);
                let signed = |(&ratio, &level): (&f32, &u8)| signed(ratio, level);
                let parts = ratios.iter().zip(&levels).map(signed);
                let chance: f64 = parts.map(|ratio| 2.0 * sigmoid(ratio)).product();
                let weight = chance / f64::from(1_u32 << bits) / M::STATES as f64;
                total += weight;
                for (mean, &level) in means.iter_mut().zip(&levels) {
                    *mean += weight * (2.0 * f64::from(level) - 1.0);
                }
            }
        }
        (total.ln(), means.iter().map(|mean| mean / total).collect())
    }

    fn assert_same<M: Machine>() {
        let ratios = [0.3, -1.2, 2.0, 0.1, -0.4, -0.9, 1.5, 0.7, 0.2, -2.2];
        let (sum, means) = by_definition::<M>(&ratios);
        let found = expected::<M>(&ratios);
        approx::assert_abs_diff_eq!(found.evidence, sum, epsilon = 1e-9);
        approx::assert_abs_diff_eq!(evidence::<M>(&ratios), sum, epsilon = 1e-9);
        for (level, mean) in found.levels.iter().zip(&means) {
            approx::assert_abs_diff_eq!(f64::from(*level), *mean, epsilon = 1e-6);
        }
    }

    #[test]
    fn evidence_and_mean_levels_are_the_sums_over_all_sequences() {
        assert_same::<Biphase>();
        assert_same::<Miller>();
    }
}
