//! Keys whose code is told by levels that last: NRZ and Miller.
//!
//! Their spectrum reaches down to the carrier, so the high pass that hum needs is taken much lower. What a code claims
//! is checked first: only codes that explain the half-bits better than chance are decoded.

use super::key::{KINDS, Parts, Size, ratio_of};
use super::model::{BitTimes, CodeReading, KeyRead};
use crate::code::LineCode;
use crate::dsp::RunningSum;
use crate::frame::soft::{Coding, Repetition, SoftValues, read};

/// The high pass for these codes.
pub(super) const HIGH_PASS_HZ: f64 = 40.0;
/// A code counts when it explains this share of what half-bits that follow it surely would give.
const LEAST_SHARE: f64 = 0.25;
/// Rounds of finding the middle between the two levels.
const ROUNDS: usize = 4;

/// Half-bits on one clock.
pub(super) struct HalfBits {
    values: Vec<f32>,
    noise_variance: f64,
    /// When whole bits of the first half-bit on were sent.
    times: BitTimes,
    clocks_per_bit: u32,
}

/// One way to read half-bits.
#[derive(Clone, Copy)]
struct Way {
    code: LineCode,
    /// Half-bits that are left out before the first bit.
    skipped: usize,
    /// Half-bits to a half-bit of the code: 2 for bits of twice the length.
    joined: usize,
}

impl HalfBits {
    /// The means over half-bits of `period` / 2 from `start` on; `noise_variance` is that of a whole bit's mean.
    pub(super) fn of(
        sums: &RunningSum,
        start: f64,
        period: f64,
        noise_variance: f64,
        times: BitTimes,
        clocks_per_bit: u32,
    ) -> Self {
        let half = 0.5 * period;
        let count = ((sums.len() as f64 - start) / half).max(0.0) as usize;
        let mut before = sums.up_to(start);
        let values = (1..=count)
            .map(|k| {
                let after = sums.up_to(start + k as f64 * half);
                let mean = (after - before) / half;
                before = after;
                mean as f32
            })
            .collect();
        Self {
            values: centred(values),
            noise_variance: 2.0 * noise_variance,
            times,
            clocks_per_bit,
        }
    }

    /// The key as the code reads it that explains the half-bits best, with the rank of all codes that explain them
    /// where no frame is found; `None` where no code does. Frames are looked for in NRZ and Miller alone.
    pub(super) fn read(&self) -> Option<KeyRead> {
        let count = self.values.len().max(1) as f64;
        let amplitude = self.values.iter().map(|&h| f64::from(h).abs()).sum::<f64>() / count;
        let ratio = ratio_of(amplitude, self.noise_variance);
        let ratios: Vec<f32> = self.values.iter().map(|value| ratio * value).collect();
        let bits = explaining(&ratios);
        let of_levels: Vec<usize> = (0..bits.len())
            .filter(|&k| bits[k].way.is_of_levels())
            .collect();
        let sources: Vec<SoftValues<'_>> = of_levels.iter().map(|&k| bits[k].values()).collect();
        let found = read(&sources, &KINDS);
        let chosen = found.as_ref().map_or(0, |found| of_levels[found.source]);
        let best = bits.get(chosen)?;
        let readings = if found.is_some() {
            Vec::new()
        } else {
            bits.iter()
                .map(|bits| bits.reading(self.clocks_per_bit))
                .collect()
        };
        let key = Parts {
            code: Some(best.way.code),
            clocks_per_bit: best.way.clocks(self.clocks_per_bit),
            size: Size {
                amplitude,
                variance: 0.5 * self.noise_variance,
            },
            noise_variance: 0.5 * self.noise_variance / best.way.joined as f64,
            soft_bits: best
                .ratios
                .iter()
                .map(|value| value / (2.0 * ratio))
                .collect(),
            times: best.way.times(self.times),
            found,
            readings,
        };
        Some(key.key())
    }
}

/// Bits by one way, with how well it explains the half-bits.
struct Explained {
    way: Way,
    evidence: f64,
    ratios: Vec<f32>,
}

impl Explained {
    fn values(&self) -> SoftValues<'_> {
        SoftValues {
            ratios: &self.ratios,
            coding: Coding::Direct,
        }
    }

    fn reading(&self, clocks_per_bit: u32) -> CodeReading {
        CodeReading {
            line_code: self.way.code,
            clocks_per_bit: self.way.clocks(clocks_per_bit),
            evidence: self.evidence,
            repetition: Repetition::of(&self.values()),
        }
    }
}

/// The ways that explain half-bits better than chance does, the best first.
fn explaining(ratios: &[f32]) -> Vec<Explained> {
    let sure = LEAST_SHARE * std::f64::consts::LN_2 * ratios.len() as f64 / 2.0;
    let mut explained: Vec<Explained> = ways()
        .map(|way| (way, way.evidence(ratios)))
        .filter(|(_, evidence)| *evidence >= sure)
        .map(|(way, evidence)| Explained {
            way,
            evidence,
            ratios: way.soft_bits(ratios),
        })
        .collect();
    explained.sort_by(|a, b| b.evidence.total_cmp(&a.evidence));
    explained
}

/// Every way to read half-bits; the ways of Manchester and biphase are there to be compared with.
fn ways() -> impl Iterator<Item = Way> {
    let way = |code, skipped, joined| Way {
        code,
        skipped,
        joined,
    };
    LineCode::ALL
        .into_iter()
        .flat_map(move |code| [way(code, 0, 1), way(code, 1, 1)])
        .chain((0..4).map(move |skipped| way(LineCode::Miller, skipped, 2)))
}

impl Way {
    fn is_of_levels(self) -> bool {
        matches!(self.code, LineCode::Nrz | LineCode::Miller)
    }

    fn clocks(self, half_bits: u32) -> u32 {
        half_bits * self.joined as u32
    }

    fn times(self, half_bits: BitTimes) -> BitTimes {
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

    fn evidence(self, ratios: &[f32]) -> f64 {
        let rest = ratios.get(self.skipped..).unwrap_or_default();
        // That two half-bits are one is a claim of its own: that of NRZ.
        let joined = if self.joined == 2 {
            LineCode::Nrz.evidence(rest)
        } else {
            0.0
        };
        joined + self.code.evidence(&self.halves(ratios))
    }

    fn soft_bits(self, ratios: &[f32]) -> Vec<f32> {
        // A soft bit has the size of one half-bit; as a ratio a bit of two halves counts double.
        let soft = self.code.soft_bits(&self.halves(ratios));
        soft.iter().map(|bit| 2.0 * bit).collect()
    }
}

/// Values with the middle between their two levels taken off: the mean hangs on how many are high.
fn centred(mut values: Vec<f32>) -> Vec<f32> {
    for _ in 0..ROUNDS {
        let (mut sums, mut counts) = ([0.0_f64; 2], [0.0_f64; 2]);
        for &value in &values {
            let side = usize::from(value > 0.0);
            sums[side] += f64::from(value);
            counts[side] += 1.0;
        }
        if counts[0] == 0.0 || counts[1] == 0.0 {
            break;
        }
        let middle = (0.5 * (sums[0] / counts[0] + sums[1] / counts[1])) as f32;
        for value in &mut values {
            *value -= middle;
        }
    }
    values
}
