use super::model::Model;
use super::path::Step;

/// Other ways have at most so many ones more or fewer than the likeliest.
const ASIDE: usize = 3;
/// Numbers of ones that are followed side by side.
const WAYS: usize = 2 * ASIDE + 1;

/// Scores by how many ones came more, or fewer, than on the way that is known.
type Scores = [f64; WAYS];

const NONE: Scores = [f64::NEG_INFINITY; WAYS];

/// What all ways near a known one say together.
pub(super) struct Odds {
    /// For each bit the log-likelihood ratio of 1 against 0: of the likeliest way with the one over that with the other.
    pub ratios: Vec<f64>,
    /// Where the likeliest way begins.
    pub start_s: f64,
}

/// The odds of the bits of a way by all that lie near it, wherever they begin.
///
/// A wrong bit moves all that follow by the difference of the two lengths, until another one moves them back; so what comes
/// before and after tells of a bit as well as itself (the max-log form of the algorithm of Bahl, Cocke, Jelinek and Raviv,
/// IEEE Trans. Information Theory 20, 1974). The phase is that of the known way.
pub(super) fn odds(model: &Model<'_>, steps: &[Step]) -> Odds {
    let gains: Vec<[Scores; 2]> = steps.iter().map(|step| gains(model, step)).collect();
    let mut before = vec![[0.0; WAYS]];
    for (step, gains) in steps.iter().zip(&gains) {
        let mut next = NONE;
        for (bit, gains) in gains.iter().enumerate() {
            for (way, gain) in gains.iter().enumerate() {
                if let Some(to) = beside(way, step.bit, bit) {
                    next[to] = next[to].max(before[before.len() - 1][way] + gain);
                }
            }
        }
        before.push(next);
    }
    let mut after = [0.0; WAYS];
    let mut ratios = vec![0.0; steps.len()];
    for k in (0..steps.len()).rev() {
        let with = [0, 1].map(|bit| -> Scores {
            std::array::from_fn(|way| {
                let to = beside(way, steps[k].bit, bit);
                to.map_or(f64::NEG_INFINITY, |to| gains[k][bit][way] + after[to])
            })
        });
        let best = with.map(|scores| {
            let whole = scores
                .iter()
                .zip(&before[k])
                .map(|(after, before)| after + before);
            whole.fold(f64::NEG_INFINITY, f64::max)
        });
        ratios[k] = best[1] - best[0];
        after = std::array::from_fn(|way| with[0][way].max(with[1][way]));
    }
    let first = (0..WAYS).max_by(|&a, &b| after[a].total_cmp(&after[b]));
    Odds {
        ratios,
        start_s: start_s(model, steps.first(), first.unwrap_or(ASIDE)),
    }
}

/// Where a step of the known way begins on another way.
fn start_s(model: &Model<'_>, step: Option<&Step>, way: usize) -> f64 {
    let longer_s = model.bit_s(1) - model.bit_s(0);
    step.map_or(0.0, |step| step.start_s) + (way as f64 - ASIDE as f64) * longer_s
}

/// What a 0 and a 1 gain at the place of a step on each of the ways.
fn gains(model: &Model<'_>, step: &Step) -> [Scores; 2] {
    [0, 1].map(|bit| {
        std::array::from_fn(|way| {
            let start_s = start_s(model, Some(step), way);
            model.gain(bit, start_s, step.reference).0
        })
    })
}

/// The way that a bit leads to where the known way has another or the same.
fn beside(way: usize, known: u8, bit: usize) -> Option<usize> {
    let to = (way + bit).checked_sub(known.into())?;
    (to < WAYS).then_some(to)
}
