use super::bank::HALF_CLOCKS;
use crate::Estimate;
use crate::code::biphase::differential;
use crate::code::{LineCode, PhaseChange};
use crate::demodulate::key::KINDS;
use crate::demodulate::model::{BitTimes, FrameRead, KeyRead};
use crate::demodulate::modulation::Modulation;
use crate::demodulate::soft;
use crate::frame::soft::{Coding, FramesRead, SoftValues, read};

/// Soft bits as the subcarrier carries them.
pub(super) struct CarriedBits {
    pub modulation: Modulation,
    pub clocks_per_bit: u32,
    /// Log-likelihood ratios.
    pub ratios: Vec<f32>,
    pub times: BitTimes,
    pub depth: Estimate,
    pub eb_n0: f64,
}

/// One way to read them: every bit as it is, or two as the halves of a Manchester or biphase bit.
struct Reading {
    ratios: Vec<f32>,
    coding: Coding,
    line_code: LineCode,
    /// When the phase turns, if it is one.
    change: Option<PhaseChange>,
    /// Where the first bit begins, in carried bits.
    first: f64,
    /// Carried bits to a bit.
    length: u32,
}

impl CarriedBits {
    /// Every way to read them; halves of bits are not read as bits, since load modulation of that length has lines there too.
    fn readings(&self) -> Vec<Reading> {
        let mut all = self.all_readings();
        if HALF_CLOCKS.contains(&self.clocks_per_bit) {
            all.retain(|reading| reading.length == 2);
        }
        all
    }

    fn all_readings(&self) -> Vec<Reading> {
        let direct = |coding: Coding, change, first: f64| Reading {
            ratios: self.ratios.clone(),
            coding,
            line_code: LineCode::Nrz,
            change,
            first,
            length: 1,
        };
        match self.modulation {
            // A phase that turns where a bit begins shows in the value after the turn.
            Modulation::Psk { .. } => vec![
                direct(Coding::Direct, Some(PhaseChange::OnChange), 0.0),
                direct(Coding::Differential, Some(PhaseChange::OnOne), 1.0),
                self.rises(0),
                self.rises(1),
                self.symbols(LineCode::Manchester, 0),
                self.symbols(LineCode::Manchester, 1),
                self.symbols(LineCode::Biphase, 0),
                self.symbols(LineCode::Biphase, 1),
            ],
            _ => vec![
                direct(Coding::Direct, None, 0.0),
                self.symbols(LineCode::Manchester, 0),
                self.symbols(LineCode::Manchester, 1),
                self.symbols(LineCode::Biphase, 0),
                self.symbols(LineCode::Biphase, 1),
            ],
        }
    }

    /// Two carried bits as one symbol: both a Manchester bit, and the transition between two biphase bits.
    fn symbols(&self, line_code: LineCode, skipped: usize) -> Reading {
        let halves = self.ratios.get(skipped..).unwrap_or_default();
        let (coding, shift) = match line_code {
            LineCode::Biphase => (Coding::Differential, 1.0),
            _ => (Coding::Direct, 0.0),
        };
        Reading {
            ratios: LineCode::Manchester.soft_bits(halves),
            coding,
            line_code,
            change: match self.modulation {
                Modulation::Psk { .. } => Some(PhaseChange::OnChange),
                _ => None,
            },
            first: skipped as f64 + shift,
            length: 2,
        }
    }

    /// Manchester bits by a phase that turns where the level rises: the falls do not show, but a bit that is low, then high
    /// turns it in its middle and the other never does. Bits that are sent as they are cannot be told by rises alone.
    fn rises(&self, skipped: usize) -> Reading {
        let halves = self.ratios.get(skipped..).unwrap_or_default().windows(2);
        Reading {
            ratios: halves
                .step_by(2)
                .map(|halves| differential(halves[0], halves[1]))
                .collect(),
            coding: Coding::Direct,
            line_code: LineCode::Manchester,
            change: Some(PhaseChange::OnRise),
            first: skipped as f64,
            length: 2,
        }
    }

    /// The key with the frames that the bits spell.
    pub(super) fn key(&self) -> KeyRead {
        let readings = self.readings();
        let sources: Vec<SoftValues<'_>> = readings
            .iter()
            .map(|reading| SoftValues {
                ratios: &reading.ratios,
                coding: reading.coding,
            })
            .collect();
        match read(&sources, &KINDS) {
            Some(frames) => self.key_of(&readings[frames.source], Some(frames)),
            None => self.key_of(&readings[0], None),
        }
    }

    fn key_of(&self, reading: &Reading, frames: Option<FramesRead>) -> KeyRead {
        let times = BitTimes {
            first: self.times.first + reading.first * self.times.period,
            period: self.times.period * f64::from(reading.length),
        };
        let (inverted, repeats) = frames
            .as_ref()
            .map_or((false, 0), |frames| (frames.inverted, frames.repeats));
        let ratios = reading.coding.soft_bits(&reading.ratios);
        let scale = self.depth.value as f32 / soft::mean(&ratios).max(f32::MIN_POSITIVE);
        let scale = if inverted { -scale } else { scale };
        let soft_bits: Vec<f32> = ratios.iter().map(|ratio| scale * ratio).collect();
        KeyRead {
            modulation: self.modulation,
            line_code: Some(reading.line_code),
            readings: Vec::new(),
            phase_change: reading.change.filter(|_| frames.is_some()),
            clocks_per_bit: self.clocks_per_bit * reading.length,
            depth: self.depth,
            eb_n0_db: 10.0 * self.eb_n0.max(1e-30).log10(),
            margin: soft::margin(&ratios),
            bits: soft_bits.iter().map(|&bit| u8::from(bit > 0.0)).collect(),
            soft_bits,
            bit_times: times,
            frames: frames.map_or_else(Vec::new, |frames| {
                let hit = |hit: crate::frame::soft::FrameHit| FrameRead {
                    span: times.span(hit.first_bit, hit.from_bits),
                    frame: hit.frame,
                    inverted,
                    corrected_bits: hit.corrected_bits,
                };
                frames.hits.into_iter().map(hit).collect()
            }),
            repeats,
        }
    }
}
