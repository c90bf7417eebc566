use super::biphase::cyclic_soft_bits;
use super::fold::fold;
use super::hits::{Hit, READINGS, Reading, hard_hits, soft_bits};
use super::model::{BitTimes, FrameRead, KeyRead, LineCode};
use super::soft_frame::{SoftFrame, SoftRead};
use crate::Estimate;

/// Symbols on one bit clock, with what is needed to place and weigh them.
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

    /// What the symbols say: frames by hard bits, else by folding the repeats, else bits alone.
    pub(super) fn read(&self) -> KeyRead {
        let size = self.size();
        let ratio = 2.0 * size.amplitude / size.variance.max(1e-30);
        let hits = hard_hits(&self.values, ratio);
        if let Some(first) = hits.first() {
            let (code, inverted) = (first.reading.code, first.reading.inverted);
            let repeats = hits.len();
            let frames = hits.into_iter().map(|hit| self.frame_read(hit)).collect();
            return self.key(&size, Some(code), inverted, frames, repeats);
        }
        match self.folded(ratio) {
            Some((code, read, repeats)) => {
                let inverted = read.inverted;
                let span = self
                    .bit_times(code)
                    .span(0, soft_bits(&self.values, code).len());
                let frame = FrameRead {
                    frame: read.frame,
                    span,
                    inverted,
                    corrected_bits: read.corrected_bits,
                };
                self.key(&size, Some(code), inverted, vec![frame], repeats)
            }
            None => self.key(&size, None, false, Vec::new(), 0),
        }
    }

    fn frame_read(&self, hit: Hit) -> FrameRead {
        let Reading {
            code,
            kind,
            inverted,
        } = hit.reading;
        let span = self.bit_times(code).span(hit.first_bit, kind.length_bits());
        FrameRead {
            frame: hit.frame,
            span,
            inverted,
            corrected_bits: 0,
        }
    }

    /// The frame in the mean of the repeats, with the number of repeats that went in.
    fn folded(&self, ratio: f64) -> Option<(LineCode, SoftRead, usize)> {
        READINGS.iter().find_map(|&(code, kind)| {
            let folded = fold(&self.values, kind.length_bits())?;
            let bits = match code {
                LineCode::Manchester => folded.symbols.clone(),
                LineCode::Biphase => cyclic_soft_bits(&folded.symbols, folded.closing_sign),
            };
            let ratios: Vec<f64> = bits
                .iter()
                .map(|&bit| ratio * folded.repeats * f64::from(bit))
                .collect();
            let read = SoftFrame::of(kind).decode(&ratios)?;
            Some((code, read, folded.repeats as usize))
        })
    }

    /// Biphase bits lie between the middles of two symbols.
    fn bit_times(&self, code: LineCode) -> BitTimes {
        let shift = match code {
            LineCode::Manchester => 0.0,
            LineCode::Biphase => 0.5 * self.times.period,
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
        let mut soft = soft_bits(&self.values, reading);
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
            modulation: "ask",
            line_code: code,
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
