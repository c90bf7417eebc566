use crate::frame::{Frame, FrameKind, fdx_b, read_only_64};

/// How many of the least sure bits may be flipped.
const FLIPPABLE: usize = 7;
/// How many alignments are worked out.
const SHORTLIST: usize = 10;
/// Natural logarithm of the odds that a decoded word must have over its nearest rival: 1000 to 1.
const MIN_MARGIN: f64 = 6.9;
/// Natural logarithm of the odds of the frame over random bits: 100 to 1.
const MIN_EVIDENCE: f64 = 4.6;

/// What soft decoding has to know of a frame: bits that never change, and what each bit adds to the syndrome, which
/// is zero for a valid frame.
pub(super) struct SoftFrame {
    kind: FrameKind,
    known: Vec<Option<u8>>,
    syndromes: Vec<u32>,
    /// Bits that carry information.
    free: f64,
}

/// A frame found by its soft bits.
pub(super) struct SoftRead {
    pub frame: Frame,
    pub inverted: bool,
    pub corrected_bits: usize,
}

struct Candidate {
    bits: Vec<u8>,
    inverted: bool,
    corrected_bits: usize,
    log_likelihood: f64,
}

impl SoftFrame {
    pub(super) fn of(kind: FrameKind) -> Self {
        match kind {
            FrameKind::ReadOnly64 => Self {
                kind,
                known: read_only_64::known_bits().to_vec(),
                syndromes: read_only_64::syndromes().to_vec(),
                free: 40.0,
            },
            FrameKind::FdxB => Self {
                kind,
                known: fdx_b::known_bits().to_vec(),
                syndromes: fdx_b::syndromes().to_vec(),
                free: 88.0,
            },
        }
    }

    /// The frame in a cycle of bits of unknown start and polarity, from log-likelihood ratios (positive for 1), or
    /// `None` when it is not clear enough.
    ///
    /// Alignments are ranked by the known bits; in the best of them the cheapest pattern of flips among the least
    /// sure bits that clears the syndrome is taken (Chase decoding). The word must then beat its nearest rival as
    /// well as the assumption that the bits are random.
    pub(super) fn decode(&self, ratios: &[f64]) -> Option<SoftRead> {
        let length = self.known.len();
        if ratios.len() != length {
            return None;
        }
        let mut alignments: Vec<(f64, usize, f64)> = (0..length)
            .flat_map(|start| {
                [1.0, -1.0].map(|sign| (self.known_score(ratios, start, sign), start, sign))
            })
            .collect();
        alignments.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut candidates: Vec<Candidate> = alignments
            .iter()
            .take(SHORTLIST)
            .flat_map(|&(_, start, sign)| {
                let aligned: Vec<f64> = (0..length)
                    .map(|k| sign * ratios[(start + k) % length])
                    .collect();
                self.chase(&aligned, sign < 0.0)
            })
            .collect();
        candidates.sort_by(|a, b| b.log_likelihood.total_cmp(&a.log_likelihood));
        let best = candidates.first()?;
        let rival = candidates.iter().find(|other| other.bits != best.bits);
        let margin = rival.map_or(f64::INFINITY, |rival| {
            best.log_likelihood - rival.log_likelihood
        });
        let choices = (2.0 * length as f64).ln();
        if margin < MIN_MARGIN || self.evidence(best.log_likelihood) - choices < MIN_EVIDENCE {
            return None;
        }
        let frame = checked(self.kind, &best.bits)?;
        Some(SoftRead {
            frame,
            inverted: best.inverted,
            corrected_bits: best.corrected_bits,
        })
    }

    /// Whether bits that were read without correction, one of `choices` alignments, beat the assumption of random
    /// bits.
    pub(super) fn confirms(
        &self,
        bits: &[u8],
        ratios: impl Iterator<Item = f64>,
        choices: f64,
    ) -> bool {
        self.evidence(log_likelihood(bits, ratios)) - choices.max(1.0).ln() >= MIN_EVIDENCE
    }

    fn evidence(&self, log_likelihood: f64) -> f64 {
        log_likelihood + (self.known.len() as f64 - self.free) * std::f64::consts::LN_2
    }

    fn known_score(&self, ratios: &[f64], start: usize, sign: f64) -> f64 {
        let length = ratios.len();
        self.known
            .iter()
            .enumerate()
            .filter_map(|(k, known)| known.map(|bit| (k, bit)))
            .map(|(k, bit)| sign * ratios[(start + k) % length] * (2.0 * f64::from(bit) - 1.0))
            .sum()
    }

    /// The best and the second-best valid words.
    fn chase(&self, ratios: &[f64], inverted: bool) -> Vec<Candidate> {
        let mut bits: Vec<u8> = ratios.iter().map(|&ratio| u8::from(ratio > 0.0)).collect();
        let mut forced = 0;
        for (bit, known) in bits.iter_mut().zip(&self.known) {
            if let Some(known) = *known {
                forced += usize::from(*bit != known);
                *bit = known;
            }
        }
        let mut order: Vec<usize> = (0..bits.len())
            .filter(|&k| self.known[k].is_none() && self.syndromes[k] != 0)
            .collect();
        order.sort_by(|&a, &b| ratios[a].abs().total_cmp(&ratios[b].abs()));
        order.truncate(FLIPPABLE);
        let syndrome = bits
            .iter()
            .zip(&self.syndromes)
            .fold(0, |sum, (&bit, key)| if bit == 1 { sum ^ key } else { sum });
        let mut valid: Vec<(f64, u32)> = (0..1_u32 << order.len())
            .filter(|pattern| {
                flips(*pattern, &order).fold(0, |sum, k| sum ^ self.syndromes[k]) == syndrome
            })
            .map(|pattern| {
                (
                    flips(pattern, &order).map(|k| ratios[k].abs()).sum(),
                    pattern,
                )
            })
            .collect();
        valid.sort_by(|a, b| a.0.total_cmp(&b.0));
        valid
            .iter()
            .take(2)
            .map(|&(_, pattern)| {
                let mut word = bits.clone();
                flips(pattern, &order).for_each(|k| word[k] ^= 1);
                Candidate {
                    log_likelihood: log_likelihood(&word, ratios.iter().copied()),
                    bits: word,
                    inverted,
                    corrected_bits: forced + pattern.count_ones() as usize,
                }
            })
            .collect()
    }
}

fn flips(pattern: u32, order: &[usize]) -> impl Iterator<Item = usize> {
    order
        .iter()
        .enumerate()
        .filter(move |(index, _)| (pattern >> index) & 1 == 1)
        .map(|(_, &k)| k)
}

/// Natural logarithm of the likelihood of `bits` over that of bits at random, less the information in them:
/// Σ ln σ(±L), with σ(x) = 1/(1 + e^(−x)). It is 0 when every bit is certain and right.
fn log_likelihood(bits: &[u8], ratios: impl Iterator<Item = f64>) -> f64 {
    bits.iter()
        .zip(ratios)
        .map(|(&bit, ratio)| -softplus(if bit == 1 { -ratio } else { ratio }))
        .sum()
}

fn softplus(x: f64) -> f64 {
    x.max(0.0) + (-x.abs()).exp().ln_1p()
}

/// The frame, if every check holds.
pub(super) fn checked(kind: FrameKind, bits: &[u8]) -> Option<Frame> {
    let frame = match kind {
        FrameKind::ReadOnly64 => read_only_64::check(bits.try_into().ok()?),
        FrameKind::FdxB => fdx_b::check(bits.try_into().ok()?),
    };
    frame.is_valid().then_some(frame)
}
