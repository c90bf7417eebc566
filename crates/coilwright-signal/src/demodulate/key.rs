use super::model::{BitTimes, CodeReading, FrameRead, KeyRead};
use super::modulation::Modulation;
use super::sequence::Weighed;
use super::soft;
use crate::Estimate;
use crate::code::LineCode;
use crate::frame::FrameKind;
use crate::frame::soft::{Coding, FrameHit, FramesRead, SoftValues, read};

/// Frames that keys send without pause.
pub(super) const KINDS: [FrameKind; 2] = [FrameKind::ReadOnly64, FrameKind::FdxB];

/// What a symbol may be.
const CODES: [LineCode; 2] = [LineCode::Manchester, LineCode::Biphase];

/// Symbols on one bit clock, with what is needed to place and weigh them.
///
/// A symbol is both a Manchester bit, high then low for 1, and the transition between two biphase bits.
pub(super) struct Symbols {
    /// First half-bit less second, halved: ± the deviation.
    pub values: Vec<f32>,
    /// Variance of one symbol by the noise of the band.
    pub noise_variance: f64,
    /// How neighbouring symbols were weighed, where they reach into each other.
    pub weighed: Option<Weighed>,
    /// When the symbols were sent.
    pub times: BitTimes,
    /// Length of a symbol in carrier periods.
    pub clocks_per_bit: u32,
}

/// What turns a soft value of `amplitude` into a log-likelihood ratio.
pub(super) fn ratio_of(amplitude: f64, variance: f64) -> f32 {
    (2.0 * amplitude / variance.max(1e-30)) as f32
}

/// The size of soft bits and the noise on them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Size {
    pub amplitude: f64,
    pub variance: f64,
}

/// What a key read is made of.
pub(super) struct Parts {
    pub code: Option<LineCode>,
    pub clocks_per_bit: u32,
    pub size: Size,
    /// Variance of a bit by the noise of the band.
    pub noise_variance: f64,
    /// Soft bits, not inverted.
    pub soft_bits: Vec<f32>,
    pub times: BitTimes,
    pub found: Option<FramesRead>,
    pub readings: Vec<CodeReading>,
}

impl Parts {
    pub(super) fn key(self) -> KeyRead {
        let mut bits = self.soft_bits;
        let (inverted, hits, repeats) = self.found.map_or((false, Vec::new(), 0), |found| {
            (found.inverted, found.hits, found.repeats)
        });
        if inverted {
            for bit in &mut bits {
                *bit = -*bit;
            }
        }
        let count = bits.len().max(1) as f64;
        let frame = |hit: FrameHit| FrameRead {
            span: self.times.span(hit.first_bit, hit.from_bits),
            frame: hit.frame,
            inverted,
            corrected_bits: hit.corrected_bits,
        };
        KeyRead {
            modulation: Modulation::Ask,
            line_code: self.code,
            phase_change: None,
            clocks_per_bit: self.clocks_per_bit,
            depth: Estimate::new(self.size.amplitude, (self.size.variance / count).sqrt()),
            eb_n0_db: 10.0
                * (self.size.amplitude.powi(2) / (2.0 * self.noise_variance.max(1e-30))).log10(),
            margin: soft::margin(&bits),
            bits: bits.iter().map(|&bit| u8::from(bit > 0.0)).collect(),
            soft_bits: bits,
            bit_times: self.times,
            frames: hits.into_iter().map(frame).collect(),
            repeats,
            readings: self.readings,
        }
    }
}

impl Symbols {
    fn size(&self) -> Size {
        if let Some(weighed) = &self.weighed {
            return Size {
                amplitude: weighed.amplitude,
                variance: weighed.variance,
            };
        }
        let count = self.values.len().max(1) as f64;
        let square = self
            .values
            .iter()
            .map(|&m| f64::from(m).powi(2))
            .sum::<f64>()
            / count;
        let mean = self.values.iter().map(|&m| f64::from(m).abs()).sum::<f64>() / count;
        let amplitude = (square - self.noise_variance).max(0.1 * square).sqrt();
        // Unequal symbols, as behind a narrow ring, count as noise too.
        Size {
            amplitude,
            variance: self.noise_variance.max(square - mean * mean),
        }
    }

    /// What the symbols say: frames, else bits alone.
    pub(super) fn read(&self) -> KeyRead {
        let size = self.size();
        let plain = found_in(&self.values, &size);
        // Many weak repeats add up better before neighbours are weighed.
        let weighed = self.weighed.as_ref();
        let found = plain.or_else(|| found_in(&weighed?.symbols, &size));
        let code = found.as_ref().map(|found| CODES[found.source]);
        let spelling = Spelling {
            code: code.unwrap_or(LineCode::Manchester),
            clocks_per_bit: self.clocks_per_bit,
            size,
            noise_variance: self.noise_variance,
            times: self.times,
        };
        Parts {
            code,
            ..spelling.parts(&self.values, found)
        }
        .key()
    }
}

/// How symbols spell bits.
pub(super) struct Spelling {
    pub code: LineCode,
    /// Length of a symbol in carrier periods.
    pub clocks_per_bit: u32,
    pub size: Size,
    /// Variance of one symbol by the noise of the band.
    pub noise_variance: f64,
    /// When the symbols were sent.
    pub times: BitTimes,
}

impl Spelling {
    /// The key that sends these symbols, with the frames that were found in them.
    pub(super) fn key(self, symbols: &[f32], found: FramesRead) -> KeyRead {
        self.parts(symbols, Some(found)).key()
    }

    fn parts(self, symbols: &[f32], found: Option<FramesRead>) -> Parts {
        Parts {
            code: Some(self.code),
            clocks_per_bit: self.clocks_per_bit,
            size: self.size,
            noise_variance: self.noise_variance,
            soft_bits: coding(self.code).soft_bits(symbols),
            times: self.bit_times(),
            found,
            readings: Vec::new(),
        }
    }

    /// Biphase bits lie between the middles of two symbols.
    fn bit_times(&self) -> BitTimes {
        let shift = match coding(self.code) {
            Coding::Direct => 0.0,
            Coding::Differential => 0.5 * self.times.period,
        };
        BitTimes {
            first: self.times.first + shift,
            ..self.times
        }
    }
}

/// How symbols spell the bits of a line code.
pub(super) const fn coding(code: LineCode) -> Coding {
    match code {
        LineCode::Biphase => Coding::Differential,
        _ => Coding::Direct,
    }
}

fn found_in(symbols: &[f32], size: &Size) -> Option<FramesRead> {
    let ratio = ratio_of(size.amplitude, size.variance);
    let ratios: Vec<f32> = symbols.iter().map(|value| ratio * value).collect();
    let sources = CODES.map(|code| SoftValues {
        ratios: &ratios,
        coding: coding(code),
    });
    read(&sources, &KINDS)
}
