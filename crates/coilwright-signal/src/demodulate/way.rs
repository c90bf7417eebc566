use super::model::BitTimes;
use crate::code::{Expected, LineCode};

/// One way to read half-bits.
#[derive(Clone, Copy)]
pub(super) struct Way {
    /// `None` where every half-bit may be high or low.
    code: Option<LineCode>,
    /// Half-bits that are left out before the first bit.
    skipped: usize,
    /// Half-bits to a half-bit of the code: 2 for bits of twice the length.
    joined: usize,
}

impl Way {
    /// Half-bits at random.
    pub(super) const AT_RANDOM: Self = Self {
        code: None,
        skipped: 0,
        joined: 1,
    };

    /// Every way to read half-bits by a code.
    pub(super) fn of_codes() -> impl Iterator<Item = Self> {
        let way = |code, skipped, joined| Self {
            code: Some(code),
            skipped,
            joined,
        };
        LineCode::ALL
            .into_iter()
            .flat_map(move |code| [way(code, 0, 1), way(code, 1, 1)])
            .chain((0..4).map(move |skipped| way(LineCode::Miller, skipped, 2)))
    }

    pub(super) const fn code(self) -> Option<LineCode> {
        self.code
    }

    /// Whether the code is told by levels that last.
    pub(super) fn is_of_levels(self) -> bool {
        self.code.is_some_and(LineCode::is_of_levels)
    }

    /// Half-bits of the reading to a half-bit of the code.
    pub(super) const fn joined(self) -> usize {
        self.joined
    }

    /// Length of a bit where two half-bits last `half_bits` carrier periods.
    pub(super) fn clocks(self, half_bits: u32) -> u32 {
        half_bits * self.joined as u32
    }

    pub(super) fn times(self, half_bits: BitTimes) -> BitTimes {
        BitTimes {
            first: half_bits.first + 0.5 * self.skipped as f64 * half_bits.period,
            period: half_bits.period * self.joined as f64,
        }
    }

    /// Half-bits of the code.
    fn halves(self, ratios: &[f32]) -> Vec<f32> {
        let rest = ratios.get(self.skipped..).unwrap_or_default();
        rest.chunks_exact(self.joined)
            .map(|halves| halves.iter().sum())
            .collect()
    }

    /// Natural logarithm of how much better the code explains half-bits than half-bits at random do.
    pub(super) fn evidence(self, ratios: &[f32]) -> f64 {
        let of_code = self.code.map(|code| code.evidence(&self.halves(ratios)));
        self.joined_evidence(ratios) + of_code.unwrap_or(0.0)
    }

    /// That two half-bits are one is a claim of its own: that of NRZ.
    fn joined_evidence(self, ratios: &[f32]) -> f64 {
        if self.joined == 2 {
            LineCode::Nrz.evidence(ratios.get(self.skipped..).unwrap_or_default())
        } else {
            0.0
        }
    }

    /// What the code makes of half-bits with these log-likelihood ratios; the levels are those of the half-bits given.
    pub(super) fn expected(self, ratios: &[f32]) -> Expected {
        let mut levels: Vec<f32> = ratios.iter().map(|ratio| (0.5 * ratio).tanh()).collect();
        let Some(code) = self.code else {
            return Expected {
                evidence: 0.0,
                levels,
            };
        };
        let of_code = code.expected(&self.halves(ratios));
        let rest = levels.get_mut(self.skipped..).unwrap_or_default();
        for (halves, level) in rest.chunks_exact_mut(self.joined).zip(of_code.levels) {
            halves.fill(level);
        }
        Expected {
            evidence: self.joined_evidence(ratios) + of_code.evidence,
            levels,
        }
    }

    pub(super) fn soft_bits(self, ratios: &[f32]) -> Vec<f32> {
        let Some(code) = self.code else {
            return Vec::new();
        };
        // A soft bit has the size of one half-bit; as a ratio a bit of two halves counts double.
        let soft = code.soft_bits(&self.halves(ratios));
        soft.iter().map(|bit| 2.0 * bit).collect()
    }
}
