use std::f64::consts::LN_2;

use super::logarithm::{log_difference, log_sum};
use super::problem::{Alignment, Problem, Window};
use super::trellis::Decoded;
use super::{chase, trellis};
use crate::frame::layout::{Form, Layout};

/// How many alignments of a form are worked out: those that the known bits fit best.
const SHORTLIST: usize = 12;
/// Natural logarithm of the odds that a word must have over all other words, alignments and polarities: 1000 to 1.
const MIN_MARGIN: f64 = 6.9;
/// Natural logarithm of the odds of the frame over random bits: 50 to 1.
pub(super) const MIN_EVIDENCE: f64 = 3.9;

/// Alignments whose odds are so far (natural logarithm) below those of another do not count.
const NEGLIGIBLE: f64 = 30.0;

/// A frame found by its soft values.
pub(super) struct Found {
    pub bits: Vec<u8>,
    pub alignment: Alignment,
    /// How many bits were not as the values alone have them.
    pub corrected_bits: usize,
    /// Natural logarithm of the odds over bits at random.
    pub evidence: f64,
    /// Natural logarithm of the odds over other words.
    pub margin: f64,
}

impl Found {
    /// Whether the frame is sure enough to be reported.
    pub(super) fn is_sure(&self) -> bool {
        self.margin >= MIN_MARGIN && self.evidence >= MIN_EVIDENCE
    }
}

/// A word at one alignment.
struct Candidate {
    bits: Vec<u8>,
    alignment: Alignment,
    /// ln of the odds of this word, and of all words of its form and alignment, over random bits.
    word: f64,
    all: f64,
}

/// The most likely frame in a window, at any of `alignments`.
///
/// Alignments are ranked by the known bits and the best of them decoded, all words that the checks allow being equally
/// likely beforehand; so are alignments and forms.
pub(super) fn decode(
    layout: &Layout,
    window: &Window<'_>,
    alignments: &[Alignment],
) -> Option<Found> {
    let forms = &layout.forms;
    let mut candidates: Vec<Candidate> = Vec::new();
    let mut most = f64::NEG_INFINITY;
    for form in forms.iter() {
        for alignment in shortlist(form, window, alignments) {
            let found = candidate(form, window, alignment, most - NEGLIGIBLE);
            most = found.as_ref().map_or(most, |found| most.max(found.word));
            candidates.extend(found);
        }
    }
    let best = candidates.iter().max_by(|a, b| a.word.total_cmp(&b.word))?;
    let (same, all) = candidates.iter().fold(
        (f64::NEG_INFINITY, f64::NEG_INFINITY),
        |(same, all), other| {
            let is_same = other.bits == best.bits;
            let same = if is_same {
                log_sum(same, other.word)
            } else {
                same
            };
            (same, log_sum(all, other.all))
        },
    );
    let choices = (alignments.len() * forms.len()) as f64;
    let others = log_difference(all, same);
    Some(Found {
        corrected_bits: corrections(window, best),
        bits: best.bits.clone(),
        alignment: best.alignment,
        evidence: all - choices.ln(),
        margin: same - others,
    })
}

/// Whether the checks of a frame are so many that random bits hardly pass them at any of `choices` places.
pub(super) fn checks_prove(layout: &Layout, choices: usize) -> bool {
    let forms = &layout.forms;
    let choices = (choices * forms.len()).max(1) as f64;
    let bits = forms.iter().map(Form::redundancy_bits).min();
    bits.unwrap_or_default() as f64 * LN_2 - choices.ln() >= MIN_EVIDENCE
}

/// Every alignment of a window, in both polarities.
pub(super) fn alignments(window: &Window<'_>, length: usize) -> Vec<Alignment> {
    (0..window.starts(length))
        .flat_map(|start| [false, true].map(|inverted| Alignment { start, inverted }))
        .collect()
}

/// The alignments that the known bits fit best.
fn shortlist(form: &Form, window: &Window<'_>, alignments: &[Alignment]) -> Vec<Alignment> {
    let known: Vec<(usize, u8)> = form
        .known
        .iter()
        .enumerate()
        .filter_map(|(k, known)| known.map(|bit| (k, bit)))
        .collect();
    let mut ranked: Vec<(f64, Alignment)> = alignments
        .iter()
        .map(|&alignment| {
            let fit = |&(k, bit): &(usize, u8)| {
                let value = window.bit(alignment, k);
                if bit == 1 { value } else { -value }
            };
            (known.iter().map(fit).sum(), alignment)
        })
        .collect();
    if ranked.len() > SHORTLIST {
        ranked.select_nth_unstable_by(SHORTLIST, |a, b| b.0.total_cmp(&a.0));
        ranked.truncate(SHORTLIST);
    }
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    ranked.into_iter().map(|(_, alignment)| alignment).collect()
}

/// The best word at one alignment, unless all of them together have odds below `least`.
fn candidate(
    form: &Form,
    window: &Window<'_>,
    alignment: Alignment,
    least: f64,
) -> Option<Candidate> {
    let problem = Problem::new(form, window, alignment);
    // 2^−free for the word, 2^−values for random values.
    let over_random = (problem.values as f64 - problem.free_bits() as f64) * LN_2;
    if problem.log_likelihood_at_most() + over_random < least {
        return None;
    }
    let Decoded {
        word,
        log_likelihood,
        log_total,
    } = trellis::decode(&problem).or_else(|| chase::decode(&problem))?;
    Some(Candidate {
        bits: problem.bits(&word),
        alignment,
        word: log_likelihood + over_random,
        all: log_total + over_random,
    })
}

fn corrections(window: &Window<'_>, candidate: &Candidate) -> usize {
    candidate
        .bits
        .iter()
        .enumerate()
        .filter(|&(k, &bit)| (window.bit(candidate.alignment, k) > 0.0) != (bit == 1))
        .count()
}
