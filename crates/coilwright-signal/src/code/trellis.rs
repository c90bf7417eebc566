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
    let mut weights: Metrics = [0.0; STATES_AT_MOST];
    weights[..M::STATES].fill(1.0 / M::STATES as f64);
    let mut sum = 0.0;
    for pair in pairs {
        let mut next: Metrics = [0.0; STATES_AT_MOST];
        for (state, &weight) in weights.iter().enumerate().take(M::STATES) {
            for bit in 0..2 {
                let step = M::step(state, bit);
                let likelihood = sigmoid(signed(pair[0], step.levels[0]))
                    * sigmoid(signed(pair[1], step.levels[1]));
                // Half for the bit; four for two half-bits at random.
                next[step.next] += 2.0 * weight * likelihood;
            }
        }
        let total: f64 = next.iter().sum();
        sum += total.max(f64::MIN_POSITIVE).ln();
        weights = next.map(|weight| weight / total.max(f64::MIN_POSITIVE));
    }
    sum
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
