//! Keys that switch their load at a subcarrier: frequency-shift and phase-shift keying.
//!
//! The bits are in sidebands at the subcarrier's distance from the carrier, where no amplitude detector looks. A quick
//! look at the spectrum tells whether there is anything; a bank of matched filters then names modulation, bit length and
//! bit phase.

mod bank;
mod divider;
mod evidence;
mod frames;
mod fsk;
mod output;
mod psk;
mod residual;
mod sidebands;
mod timing;
mod tone;

use std::ops::Range;

pub(super) use bank::Candidate;
use bank::{FSK_CLOCKS, PSK_CLOCKS};
use evidence::Spectrum;
use frames::CarriedBits;
use output::Output;
pub(super) use residual::Residual;

use super::deviation::Stretch;
use super::model::{Baseband, BitTimes, Expected, KeyRead, Line, ListenOptions, Plane};
use super::modulation::Modulation;
use super::soft;
use crate::Estimate;
use crate::capture::SampleKind;

/// The bank looks at this much of the stretch.
const SEARCH_S: f64 = 0.3;
/// The noise is taken from this far, in parts of the carrier's frequency.
const NOISE_BAND: f64 = 0.6;
/// Subcarriers have their sidebands between these distances from the carrier, in parts of its frequency, with room for the
/// bits.
const PLACES: [f64; 2] = [0.07, 0.55];

/// Energy per bit over noise density from which a subcarrier is claimed without a frame (see `docs/limits-signal.md` for how
/// often a bare carrier passes all of this).
const LEAST_EB_N0_DB: f64 = 1.0;
/// A ring that is 5 % off the carrier weakens one sideband to 0.4 of the other; a line on one side of the carrier has none
/// on the other.
const LEAST_BALANCE: f64 = 0.25;
/// Bits of noise have 0.85, those of a key more; what a burst at one place makes has next to nothing.
const LEAST_EVENNESS: f64 = 0.5;
/// A line makes all bits alike.
const LEAST_OF_EACH: f64 = 0.1;

/// Where to look for subcarriers: a stretch with its carrier measured.
pub(super) struct Subcarriers<'a> {
    pub stretch: &'a Stretch<'a>,
    /// Carrier in the air.
    pub true_hz: f64,
    /// By how much the carrier appears above its expected place.
    pub offset_hz: f64,
    /// Noise power of both parts of the deviation per hertz.
    pub noise_per_hz: f64,
    /// Lines that were found beside the carrier.
    pub lines: &'a [Line],
    /// Place of the stretch in the capture.
    pub start: u64,
    pub options: &'a ListenOptions,
}

/// A key that was read on a subcarrier.
pub(super) struct SubcarrierRead {
    pub key: KeyRead,
    pub axis_rad: f64,
    /// How alike the two sidebands are, 0 to 1.
    balance: f64,
    /// What the matched filters give at every instant, if it was asked for.
    pub views: Option<(Plane, Baseband)>,
}

impl SubcarrierRead {
    pub(super) fn has_frame(&self) -> bool {
        !self.key.frames.is_empty()
    }

    /// What the next stretch may expect.
    pub(super) fn expected(&self) -> Option<Expected> {
        let key = &self.key;
        self.has_frame()
            .then(|| Expected::new(key.modulation, key.clocks_per_bit))
    }

    /// Whether it is a key's answer by all that is known of one but a frame: strong bits, much alike, of both values, on
    /// both sides of the carrier.
    pub(super) fn is_plain(&self) -> bool {
        let bits = &self.key.bits;
        let ones: usize = bits.iter().copied().map(usize::from).sum();
        let ones = ones as f64 / bits.len().max(1) as f64;
        self.key.eb_n0_db > LEAST_EB_N0_DB
            && self.balance > LEAST_BALANCE
            && soft::evenness(&self.key.soft_bits) > LEAST_EVENNESS
            && ones.min(1.0 - ones) > LEAST_OF_EACH
    }
}

impl Subcarriers<'_> {
    /// What fits best, if the spectrum shows anything, best first.
    pub(super) fn search(&self) -> Vec<Candidate> {
        let range = self.middle();
        let modulations = self.worth_a_look(range.clone());
        if modulations.is_empty() {
            return Vec::new();
        }
        match self.residual_of(range) {
            Some(residual) => bank::candidates(&residual, &modulations, self.noise_per_hz),
            None => Vec::new(),
        }
    }

    /// The power in all places where subcarriers have sidebands, over the carrier's: what a subcarrier explains at most.
    pub(super) fn power_at_most(&self) -> Option<f64> {
        let (carrier_hz, clock_hz) = self.frequencies_hz();
        let spectrum = self.spectrum(self.middle())?;
        let [near_hz, far_hz] = PLACES.map(|part| part * clock_hz);
        let below = (carrier_hz - far_hz, carrier_hz - near_hz);
        let above = (carrier_hz + near_hz, carrier_hz + far_hz);
        Some(spectrum.power_over_carrier(&[below, above], carrier_hz))
    }

    /// Where the samples show the carrier, and the frequency of the key's clock.
    fn frequencies_hz(&self) -> (f64, f64) {
        match self.stretch.kind {
            SampleKind::Real => (self.true_hz, self.true_hz),
            SampleKind::Complex => (
                self.stretch.carrier.apparent_hz + self.offset_hz,
                self.true_hz,
            ),
        }
    }

    fn spectrum(&self, range: Range<usize>) -> Option<Spectrum> {
        let (carrier_hz, clock_hz) = self.frequencies_hz();
        let spectrum = Spectrum::of(self.stretch, range)?;
        Some(spectrum.with_noise_between(
            carrier_hz - NOISE_BAND * clock_hz,
            carrier_hz + NOISE_BAND * clock_hz,
            carrier_hz,
        ))
    }

    /// The modulations whose bands hold more than noise.
    fn worth_a_look(&self, range: Range<usize>) -> Vec<Modulation> {
        let Some(spectrum) = self.spectrum(range) else {
            return Vec::new();
        };
        let (carrier_hz, clock_hz) = self.frequencies_hz();
        let stands_out = |clocks: u32| {
            let offset_hz = clock_hz / f64::from(clocks);
            spectrum.stands_out(&[carrier_hz - offset_hz, carrier_hz + offset_hz])
        };
        let tones = FSK_CLOCKS
            .into_iter()
            .filter(|clocks| clocks.iter().any(|&clocks| stands_out(clocks)))
            .map(|clocks| Modulation::Fsk { clocks });
        let phases = PSK_CLOCKS
            .into_iter()
            .filter(|&clocks| stands_out(clocks))
            .map(|clocks| Modulation::Psk { clocks });
        tones.chain(phases).collect()
    }

    fn middle(&self) -> Range<usize> {
        let length = self.stretch.samples.len() / self.stretch.kind.width();
        let wanted = ((SEARCH_S * self.stretch.sample_rate_hz) as usize).min(length);
        let first = (length - wanted) / 2;
        first..first + wanted
    }

    /// The whole stretch without its carrier.
    pub(super) fn residual(&self) -> Option<Residual> {
        self.residual_of(0..self.stretch.samples.len() / self.stretch.kind.width())
    }

    fn residual_of(&self, range: Range<usize>) -> Option<Residual> {
        Residual::of(
            self.stretch,
            self.true_hz,
            self.offset_hz,
            self.lines,
            range,
        )
    }

    /// The key of a modulation and bit length in the whole stretch without its carrier.
    pub(super) fn read(
        &self,
        residual: &Residual,
        modulation: Modulation,
        clocks_per_bit: u32,
    ) -> Option<SubcarrierRead> {
        match modulation {
            Modulation::Psk { clocks } => {
                let bits = psk::read(residual, clocks, clocks_per_bit)?;
                Some(self.phase_key(&bits, modulation, clocks_per_bit))
            }
            Modulation::Fsk { clocks } => {
                let rate_hz = self.stretch.sample_rate_hz;
                let noise = |period: f64| self.noise_per_hz * rate_hz / period;
                let bits = fsk::read(residual, clocks, clocks_per_bit, noise)?;
                Some(self.tone_key(&bits, modulation, clocks_per_bit))
            }
            Modulation::Ask | Modulation::HalfDuplex => None,
        }
    }

    fn phase_key(
        &self,
        bits: &psk::PhaseBits,
        modulation: Modulation,
        clocks_per_bit: u32,
    ) -> SubcarrierRead {
        let count = bits.symbols.len().max(1) as f64;
        let variance = bits.noise_variance.max(1e-30);
        let ratio = (2.0 * bits.deviation / variance) as f32;
        let carried = CarriedBits {
            modulation,
            clocks_per_bit,
            ratios: bits.symbols.iter().map(|symbol| ratio * symbol).collect(),
            times: self.times(bits.start, bits.period),
            depth: Estimate::new(bits.deviation, (variance / count).sqrt()),
            eb_n0: bits.deviation.powi(2) / (2.0 * variance),
        };
        SubcarrierRead {
            key: carried.key(),
            axis_rad: bits.axis_rad,
            balance: bits.balance,
            views: self.views(|| bits.output()),
        }
    }

    fn tone_key(
        &self,
        bits: &fsk::ToneBits,
        modulation: Modulation,
        clocks_per_bit: u32,
    ) -> SubcarrierRead {
        let count = bits.ratios.len().max(1) as f64;
        let deviation_std = bits.deviation / (2.0 * bits.eb_n0.max(1e-30) * count).sqrt();
        let carried = CarriedBits {
            modulation,
            clocks_per_bit,
            ratios: bits.ratios.iter().map(|&ratio| ratio as f32).collect(),
            times: self.times(bits.start, bits.period),
            depth: Estimate::new(bits.deviation, deviation_std),
            eb_n0: bits.eb_n0,
        };
        SubcarrierRead {
            key: carried.key(),
            axis_rad: bits.axis_rad,
            balance: bits.balance,
            views: self.views(|| bits.output()),
        }
    }

    fn views(&self, output: impl FnOnce() -> Output) -> Option<(Plane, Baseband)> {
        let kept = self.options.keep_baseband;
        kept.then(|| output().views(self.start as f64))
    }

    fn times(&self, start: f64, period: f64) -> BitTimes {
        BitTimes {
            first: self.start as f64 + start,
            period,
        }
    }
}
