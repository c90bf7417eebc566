use std::f64::consts::TAU;

use num_complex::Complex64;

use crate::capture::SampleKind;
use crate::carrier::SignalKind;
use crate::demodulate::deviation::Stretch;
use crate::demodulate::model::Line;

/// The carrier is followed from block to block: what lies nearer to it than about 1 kHz is taken out with it. Of hum of 5 %
/// at 100 Hz 0.06 % is left; blocks of 2 ms left 1 %, and what leaked from that was heard as bits.
const BLOCK_S: f64 = 0.5e-3;
/// Samples over which the carrier's amplitude is taken to change evenly.
const STRIDE: usize = 64;
/// Harmonics of the drive up to this order are taken out: folded, they lie among the subcarriers' sidebands.
const HIGHEST_ORDER: u32 = 15;
/// Other lines nearer to the carrier than this are taken out: they leak into the bits like the carrier itself, and no
/// subcarrier has a sideband there.
const NEAR_HZ: f64 = 6e3;
/// Two lines are each other's mirror image when the carrier's place is in their middle to this.
const MIRROR_HZ: f64 = 50.0;
/// Fewer blocks than this are no stretch.
const MIN_BLOCKS: usize = 3;

/// A stretch without its carrier and the carrier's harmonics.
///
/// In every other treatment the carrier is 100 to 1000 times what is looked for, and what leaks from it through
/// windows and filters would mask that.
pub(in crate::demodulate) struct Residual {
    /// Real samples or I, Q pairs.
    pub samples: Vec<f32>,
    pub kind: SampleKind,
    pub sample_rate_hz: f64,
    /// Frequency of the carrier in cycles per sample, not folded.
    pub carrier_frequency: f64,
    /// Frequency of the key's clock in the same unit; negative where the spectrum is seen from behind.
    pub clock_frequency: f64,
    /// The carrier's complex amplitude: c e^(jωn), of which real samples are the real part.
    pub carrier: Complex64,
}

impl Residual {
    /// The samples of `range` less the carrier at `true_hz` (`apparent_hz` for complex samples), or `None` where no
    /// carrier is in the samples to take the clock from.
    pub(super) fn of(
        stretch: &Stretch<'_>,
        true_hz: f64,
        offset_hz: f64,
        lines: &[Line],
        range: std::ops::Range<usize>,
    ) -> Option<Self> {
        let rate_hz = stretch.sample_rate_hz;
        let carrier_frequency = match (stretch.carrier.kind, stretch.kind) {
            (SignalKind::Envelope | SignalKind::NoCarrier, _) => return None,
            (_, SampleKind::Complex) => (stretch.carrier.apparent_hz + offset_hz) / rate_hz,
            (_, SampleKind::Real) => true_hz / rate_hz,
        };
        let width = stretch.kind.width();
        let samples = stretch
            .samples
            .get(range.start * width..range.end * width)?
            .to_vec();
        let mut residual = Self {
            samples,
            kind: stretch.kind,
            sample_rate_hz: rate_hz,
            carrier_frequency,
            clock_frequency: true_hz / rate_hz,
            carrier: Complex64::default(),
        };
        residual.take_carrier((BLOCK_S * rate_hz) as usize)?;
        if residual.kind == SampleKind::Real {
            for order in 2..=HIGHEST_ORDER {
                residual.take_tone(f64::from(order) * residual.carrier_frequency);
            }
        }
        let seen_from_behind = stretch.kind == SampleKind::Real && stretch.carrier.is_inverted();
        let sign = if seen_from_behind { -1.0 } else { 1.0 };
        let is_foreign = |line: &&Line| line.offset_hz.abs() < NEAR_HZ || is_alone(line, lines);
        for line in lines.iter().filter(is_foreign) {
            residual.take_tone(carrier_frequency + sign * line.offset_hz / rate_hz);
        }
        Some(residual)
    }

    /// Subtracts the carrier, its amplitude linear between the middles of blocks.
    fn take_carrier(&mut self, block: usize) -> Option<()> {
        let width = self.kind.width();
        let blocks: Vec<Complex64> = self
            .samples
            .chunks_exact((block * width).max(1))
            .enumerate()
            .map(|(index, chunk)| self.amplitude(self.carrier_frequency, chunk, index * block))
            .collect();
        if blocks.len() < MIN_BLOCKS {
            return None;
        }
        self.carrier = blocks.iter().sum::<Complex64>() / blocks.len() as f64;
        // Beyond the middles of the first and the last block it goes on as evenly: a step there would be heard as a bit.
        let at = |position: f64| {
            let position = position / block as f64 - 0.5;
            let below = (position.max(0.0) as usize).min(blocks.len() - 2);
            blocks[below] + (blocks[below + 1] - blocks[below]) * (position - below as f64)
        };
        let turn = Complex64::cis(TAU * self.carrier_frequency);
        for (index, chunk) in self.samples.chunks_mut(STRIDE * width).enumerate() {
            let start = index * STRIDE;
            let phasor = Complex64::cis(TAU * (self.carrier_frequency * start as f64).fract());
            let (first, last) = (at(start as f64), at((start + STRIDE) as f64));
            let step = (last - first) / STRIDE as f64;
            let (mut tone, mut slope) = (first * phasor, step * phasor);
            for sample in chunk.chunks_exact_mut(width) {
                sample[0] -= tone.re as f32;
                if let Some(quadrature) = sample.get_mut(1) {
                    *quadrature -= tone.im as f32;
                }
                slope *= turn;
                tone = tone * turn + slope;
            }
        }
        (self.carrier.norm() > 0.0).then_some(())
    }

    /// Subtracts a tone, wherever it folds to: x − c e^(jωn), or the real part of that, with the c that leaves least.
    fn take_tone(&mut self, frequency: f64) {
        let turn = Complex64::cis(TAU * frequency.fract());
        let mut tone = self.amplitude(frequency, &self.samples, 0);
        for sample in self.samples.chunks_exact_mut(self.kind.width()) {
            sample[0] -= tone.re as f32;
            if let Some(quadrature) = sample.get_mut(1) {
                *quadrature -= tone.im as f32;
            }
            tone *= turn;
        }
    }

    /// The amplitude of a tone over a block that begins at sample `first`.
    fn amplitude(&self, frequency: f64, chunk: &[f32], first: usize) -> Complex64 {
        let turn = Complex64::cis(-TAU * frequency);
        let mut phasor = Complex64::cis(-TAU * (frequency * first as f64).fract());
        let mut sum = Complex64::default();
        let width = self.kind.width();
        for sample in chunk.chunks_exact(width) {
            let quadrature = sample.get(1).copied().unwrap_or_default();
            sum += phasor * Complex64::new(sample[0].into(), quadrature.into());
            phasor *= turn;
        }
        let scale = match self.kind {
            SampleKind::Real => 2.0,
            SampleKind::Complex => 1.0,
        };
        sum * scale * width as f64 / chunk.len().max(1) as f64
    }
}

/// Whether a line is on one side of the carrier only, as no load that is switched makes it.
fn is_alone(line: &Line, lines: &[Line]) -> bool {
    let mirrors = |other: &Line| (line.offset_hz + other.offset_hz).abs() < MIRROR_HZ;
    !lines.iter().any(mirrors)
}
