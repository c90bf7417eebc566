use num_complex::Complex32;

use super::model::{CYCLES, TONES_HZ};
use super::tones::Reply;
use crate::capture::SampleKind;
use crate::carrier::SignalKind;
use crate::demodulate::band::BandPass;
use crate::demodulate::deviation::Stretch;
use crate::dsp::DownConverter;

/// Filter length in output values.
const SPANS: usize = 6;
/// Values to a bit.
const VALUES: f64 = 32.0;
/// The ring has rung down when the next block of this length holds more than half of the one before.
const BLOCK_S: f64 = 0.25e-3;

/// The reply round the middle of the two tones once the ring has rung down, its noise power per hertz, and the time that
/// was left out.
pub(super) fn front_end(stretch: &Stretch<'_>) -> Option<(Reply, f64, f64)> {
    let middle_hz = 0.5 * (TONES_HZ[0] + TONES_HZ[1]);
    let sample_rate_hz = stretch.sample_rate_hz;
    let frequency = match (stretch.carrier.kind, stretch.kind) {
        (SignalKind::Envelope | SignalKind::NoCarrier, _) => return None,
        (_, SampleKind::Real) => middle_hz,
        (_, SampleKind::Complex) => {
            stretch.carrier.apparent_hz + middle_hz - stretch.carrier.true_hz
        }
    } / sample_rate_hz;
    let decimation = ((sample_rate_hz * CYCLES / TONES_HZ[0] / VALUES) as usize).max(1);
    let mut values = Vec::new();
    let converter = match stretch.kind {
        SampleKind::Real => {
            let mut converter = DownConverter::new(frequency, decimation, SPANS);
            converter.process(stretch.samples, &mut values);
            converter
        }
        SampleKind::Complex => {
            let mut converter = DownConverter::for_complex(frequency, decimation, SPANS);
            converter.process_complex(stretch.samples, &mut values);
            converter
        }
    };
    let rate_hz = sample_rate_hz / decimation as f64;
    let skipped = rung_down(&values, ((BLOCK_S * rate_hz) as usize).max(1));
    values.drain(..skipped);
    if values.len() < 64 {
        return None;
    }
    let filter = BandPass::of_filter(Some(converter.low_pass()), decimation as f64, rate_hz, 0.0);
    let band = filter.band(values);
    let noise_per_hz = band.noise_power() / rate_hz;
    let reply = Reply {
        values: band.into_time(1),
        rate_hz,
        middle_hz,
    };
    let skipped_s = (skipped as f64 - 0.5) / rate_hz + converter.delay_samples() / sample_rate_hz;
    (noise_per_hz > 0.0).then_some((reply, noise_per_hz, skipped_s))
}

/// Values until the ring has rung down.
fn rung_down(values: &[Complex32], block: usize) -> usize {
    let powers: Vec<f32> = values
        .chunks_exact(block)
        .map(|chunk| chunk.iter().map(Complex32::norm_sqr).sum())
        .collect();
    let quiet = powers.windows(2).position(|pair| pair[1] > 0.25 * pair[0]);
    quiet.map_or(values.len(), |index| index * block)
}

/// Real samples show half of a tone on each side of 0 Hz.
pub(super) fn gain(kind: SampleKind) -> f64 {
    match kind {
        SampleKind::Real => 2.0,
        SampleKind::Complex => 1.0,
    }
}
