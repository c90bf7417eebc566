use num_complex::Complex64;

use super::super::axis;
use super::super::key::{Size, Spelling, coding};
use super::super::model::{BitTimes, FrameRead, KeyRead};
use super::template::{Comparison, Template};
use crate::code::LineCode;
use crate::frame::Frame;
use crate::frame::soft::{Coding, FrameHit, FramesRead};

/// Every symbol is at least this part of its usual size, and of the same sign.
const LEAST_MARGIN: f64 = 0.3;
/// Frames in a stretch that is only looked at quickly, at least.
const FEWEST_FRAMES: usize = 2;

/// A key that sends one frame again and again, as it was read.
#[derive(Debug)]
pub(super) struct RepeatedKey {
    code: LineCode,
    frame: Frame,
    inverted: bool,
    clocks_per_bit: u32,
    size: Size,
    /// Variance of one symbol by the noise of the band.
    noise_variance: f64,
    /// Direction of the symbols of the template.
    axis_rad: f64,
    /// The template's symbols along it, and their mean size.
    expected: Vec<f64>,
    mean_size: f64,
}

/// What a quick look shows of the symbols.
pub(super) struct Shown<'a> {
    pub comparison: &'a Comparison,
    /// When the symbols were sent.
    pub times: BitTimes,
    /// Which one of the cycle the first is.
    pub place: usize,
    /// Power of the noise over what it was.
    pub noise: f64,
}

impl RepeatedKey {
    /// The key of a read whose modulation has the direction `axis_rad`; `None` where the template does not spell its frame.
    pub(super) fn of(
        key: &KeyRead,
        read: &FrameRead,
        template: &Template,
        axis_rad: f64,
    ) -> Option<Self> {
        let symbols: Vec<Complex64> = template.symbols().collect();
        // Behind a ring, blocks show it in a somewhat other direction than matched filters do.
        let axis_rad = axis::near(symbols.iter().map(|m| m * m).sum(), axis_rad);
        let expected: Vec<f64> = axis::parts(symbols.into_iter(), axis_rad).collect();
        let mean_size = expected.iter().map(|m| m.abs()).sum::<f64>() / expected.len() as f64;
        let eb_n0 = 10.0_f64.powf(key.eb_n0_db / 10.0);
        let known = Self {
            code: key.line_code?,
            frame: read.frame.clone(),
            inverted: read.inverted,
            clocks_per_bit: key.clocks_per_bit,
            size: Size {
                amplitude: key.depth.value,
                variance: key.depth.std_dev.powi(2) * key.bits.len() as f64,
            },
            noise_variance: key.depth.value.powi(2) / (2.0 * eb_n0),
            axis_rad,
            expected,
            mean_size,
        };
        known.is_spelt().then_some(known)
    }

    pub(super) const fn clocks_per_bit(&self) -> u32 {
        self.clocks_per_bit
    }

    /// Whether the template's own symbols spell the frame from the start of its cycle on.
    fn is_spelt(&self) -> bool {
        let length = self.frame.bits.len();
        let cycle = self.expected.iter().cycle().take(length + 1);
        let symbols: Vec<f32> = cycle.map(|&m| m as f32).collect();
        let bits = coding(self.code).soft_bits(&symbols);
        let bits = bits
            .iter()
            .map(|&bit| u8::from((bit > 0.0) != self.inverted));
        let agreeing = bits
            .zip(&self.frame.bits)
            .filter(|(bit, sent)| bit == *sent);
        agreeing.count() == length
    }

    /// The key as it is shown again, if every symbol is sure and there are enough frames.
    pub(super) fn read(&self, shown: &Shown<'_>) -> Option<KeyRead> {
        let symbols = self.symbols(shown)?;
        let hits = self.hits(shown.place, symbols.len());
        if hits.len() < FEWEST_FRAMES {
            return None;
        }
        let spelling = Spelling {
            code: self.code,
            clocks_per_bit: self.clocks_per_bit,
            size: Size {
                amplitude: self.size.amplitude * shown.comparison.gain.norm(),
                variance: self.size.variance * shown.noise,
            },
            noise_variance: self.noise_variance * shown.noise,
            times: shown.times,
        };
        let frames = FramesRead {
            source: 0,
            inverted: self.inverted,
            repeats: hits.len(),
            hits,
        };
        Some(spelling.key(&symbols, frames))
    }

    /// The symbols along the axis in the unit of the read.
    fn symbols(&self, shown: &Shown<'_>) -> Option<Vec<f32>> {
        let gain = shown.comparison.gain;
        let axis_rad = self.axis_rad + gain.arg();
        let least = LEAST_MARGIN * self.mean_size * gain.norm();
        let scale = self.size.amplitude / self.mean_size;
        let expected = self.expected.iter().cycle().skip(shown.place);
        axis::parts(shown.comparison.symbols.iter().copied(), axis_rad)
            .zip(expected)
            .map(|(value, expected)| {
                (value * expected.signum() >= least).then_some((scale * value) as f32)
            })
            .collect()
    }

    /// The frames in so many symbols from one place of the cycle on.
    fn hits(&self, place: usize, symbols: usize) -> Vec<FrameHit> {
        let length = self.frame.bits.len();
        let needed = match coding(self.code) {
            Coding::Direct => length,
            Coding::Differential => length + 1,
        };
        let first = (length - place % length) % length;
        (first..)
            .step_by(length)
            .take_while(|start| start + needed <= symbols)
            .map(|first_bit| FrameHit {
                frame: self.frame.clone(),
                first_bit,
                from_bits: length,
                corrected_bits: 0,
            })
            .collect()
    }
}
