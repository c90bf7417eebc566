use super::model::{BitTimes, FrameRead, KeyRead};
use super::modulation::Modulation;
use crate::Estimate;
use crate::code::LineCode;
use crate::frame::FrameKind;
use crate::frame::soft::{Coding, FrameHit, FramesRead, SoftValues, read};

/// Frames that keys send without pause.
const KINDS: [FrameKind; 2] = [FrameKind::ReadOnly64, FrameKind::FdxB];

/// Symbols on one bit clock, with what is needed to place and weigh them.
///
/// A symbol is both a Manchester bit, high then low for 1, and the transition between two biphase bits.
pub(super) struct Symbols {
    /// First half-bit less second, halved: ± the deviation.
    pub values: Vec<f32>,
    /// Variance of one symbol by the noise of the band.
    pub noise_variance: f64,
    /// When the symbols were sent.
    pub times: BitTimes,
    /// Length of a symbol in carrier periods.
    pub clocks_per_bit: u32,
}

/// The size of the symbols and the noise on them.
struct Size {
    amplitude: f64,
    variance: f64,
}

impl Size {
    /// What turns a symbol into a log-likelihood ratio.
    fn ratio(&self) -> f32 {
        (2.0 * self.amplitude / self.variance.max(1e-30)) as f32
    }
}

impl Symbols {
    fn size(&self) -> Size {
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
        const CODES: [LineCode; 2] = [LineCode::Manchester, LineCode::Biphase];
        let size = self.size();
        let ratio = size.ratio();
        let ratios: Vec<f32> = self.values.iter().map(|value| ratio * value).collect();
        let sources = CODES.map(|code| SoftValues {
            ratios: &ratios,
            coding: coding(code),
        });
        match read(&sources, &KINDS) {
            Some(FramesRead {
                source,
                inverted,
                hits,
                repeats,
            }) => {
                let code = CODES[source];
                let frames = hits
                    .into_iter()
                    .map(|hit| self.frame_read(code, inverted, hit))
                    .collect();
                self.key(&size, Some(code), inverted, frames, repeats)
            }
            None => self.key(&size, None, false, Vec::new(), 0),
        }
    }

    fn frame_read(&self, code: LineCode, inverted: bool, hit: FrameHit) -> FrameRead {
        FrameRead {
            span: self.bit_times(code).span(hit.first_bit, hit.from_bits),
            frame: hit.frame,
            inverted,
            corrected_bits: hit.corrected_bits,
        }
    }

    /// Biphase bits lie between the middles of two symbols.
    fn bit_times(&self, code: LineCode) -> BitTimes {
        let shift = match coding(code) {
            Coding::Direct => 0.0,
            Coding::Differential => 0.5 * self.times.period,
        };
        BitTimes {
            first: self.times.first + shift,
            ..self.times
        }
    }

    fn key(
        &self,
        size: &Size,
        code: Option<LineCode>,
        inverted: bool,
        frames: Vec<FrameRead>,
        repeats: usize,
    ) -> KeyRead {
        let reading = code.unwrap_or(LineCode::Manchester);
        let mut soft = coding(reading).soft_bits(&self.values);
        if inverted {
            for bit in &mut soft {
                *bit = -*bit;
            }
        }
        let count = self.values.len().max(1) as f64;
        let mean = soft.iter().map(|bit| bit.abs()).sum::<f32>() / soft.len().max(1) as f32;
        let least = soft
            .iter()
            .fold(f32::INFINITY, |least, bit| least.min(bit.abs()));
        KeyRead {
            modulation: Modulation::Ask,
            line_code: code,
            phase_change: None,
            clocks_per_bit: self.clocks_per_bit,
            depth: Estimate::new(size.amplitude, (size.variance / count).sqrt()),
            eb_n0_db: 10.0
                * (size.amplitude.powi(2) / (2.0 * self.noise_variance.max(1e-30))).log10(),
            margin: if mean > 0.0 {
                f64::from(least / mean)
            } else {
                0.0
            },
            bits: soft.iter().map(|&bit| u8::from(bit > 0.0)).collect(),
            soft_bits: soft,
            bit_times: self.bit_times(reading),
            frames,
            repeats,
        }
    }
}

/// How symbols spell the bits of a line code.
fn coding(code: LineCode) -> Coding {
    match code {
        LineCode::Biphase => Coding::Differential,
        _ => Coding::Direct,
    }
}
