//! Half-duplex replies of ISO 11785: two tones that the key sends by itself once the field goes off.

mod bessel;
mod ends;
mod first_look;
mod front;
mod learned;
mod model;
mod odds;
mod path;
mod reply;
mod tones;

use super::deviation::Stretch;
use super::model::{BitTimes, FrameRead, KeyRead};
use super::modulation::Modulation;
use super::soft;
use crate::capture::SampleKind;
use crate::carrier::Carrier;
use crate::code::LineCode;
use crate::frame::FrameKind;
use crate::frame::soft::{Coding, FrameHit, SoftValues, read};
use crate::{Estimate, Span};

/// Field carriers that such keys are charged with, in hertz: 134.2 kHz and 3 % to both sides.
const CARRIER_HZ: std::ops::RangeInclusive<f64> = 130_200.0..=138_200.0;

/// Below 8 dB a reply without a frame is not claimed: noise alone passed for one in a test. The limit is a choice; how often
/// noise reaches it has not been measured.
const LEAST_EB_N0: f64 = 6.3;

/// Returns the reply in a pause of the field, or `None` when there is none.
///
/// `samples` begin where the field goes off (I, Q pairs for complex samples), at `first_sample` of the capture, and
/// should end where it comes on again or at most 30 ms later; `carrier` is that of the field, `field_amplitude` its
/// amplitude before the pause. The depth of the key is the amplitude of its reply over that of the field, and its bit
/// times are mean ones: a 0 lasts 16 cycles of 134.2 kHz, a 1 16 cycles of 124.2 kHz (NCD1015ZP data sheet, p. 1 and
/// clause 2.3).
///
/// ```
/// use coilwright_signal::capture::SampleKind;
/// use coilwright_signal::carrier::Carrier;
/// use coilwright_signal::demodulate::listen_in_pause;
/// let silence = vec![0.0; 20_000];
/// assert!(listen_in_pause(&silence, SampleKind::Real, 1e6, 0, &Carrier::direct(134_200.0), 1.0).is_none());
/// ```
#[must_use]
pub fn listen_in_pause(
    samples: &[f32],
    kind: SampleKind,
    sample_rate_hz: f64,
    first_sample: u64,
    carrier: &Carrier,
    field_amplitude: f64,
) -> Option<KeyRead> {
    if !CARRIER_HZ.contains(&carrier.true_hz) {
        return None;
    }
    let stretch = Stretch {
        samples,
        kind,
        sample_rate_hz,
        carrier,
    };
    let bits = reply::read(&stretch)?;
    let ratios: Vec<f32> = bits.ratios.iter().map(|&ratio| ratio as f32).collect();
    let values = SoftValues {
        ratios: &ratios,
        coding: Coding::Direct,
    };
    let frames = read(&[values], &[FrameKind::Hdx]);
    let position = |time_s: f64| first_sample as f64 + time_s * sample_rate_hz;
    let start_of = |bit: usize| {
        let start_s = bits.starts_s.get(bit).copied().unwrap_or(bits.end_s);
        position(start_s).round().max(0.0) as u64
    };
    let (inverted, repeats, hits) = match frames {
        // The standard says which tone is which. Corrected telegrams count: of 22 500 sent at 8 to 12 dB some 1100 were read by
        // correction, and one read was wrong (see `docs/limits-signal.md`).
        Some(frames) if !frames.inverted => (false, frames.repeats, frames.hits),
        _ => (false, 0, Vec::new()),
    };
    if hits.is_empty() && bits.eb_n0 < LEAST_EB_N0 {
        return None;
    }
    let frame = |hit: FrameHit| FrameRead {
        span: Span::new(
            start_of(hit.first_bit),
            start_of(hit.first_bit + hit.from_bits),
        ),
        frame: hit.frame,
        inverted,
        corrected_bits: hit.corrected_bits,
    };
    let mean = soft::mean(&ratios);
    let depth = bits.amplitude / field_amplitude.max(f64::MIN_POSITIVE);
    let count = ratios.len().max(1) as f64;
    let first_s = bits.starts_s.first().copied().unwrap_or_default();
    Some(KeyRead {
        modulation: Modulation::HalfDuplex,
        line_code: Some(LineCode::Nrz),
        readings: Vec::new(),
        phase_change: None,
        clocks_per_bit: model::CYCLES as u32,
        depth: Estimate::new(depth, depth / (2.0 * bits.eb_n0.max(1e-30) * count).sqrt()),
        eb_n0_db: 10.0 * bits.eb_n0.max(1e-30).log10(),
        margin: soft::margin(&ratios),
        bits: ratios.iter().map(|&ratio| u8::from(ratio > 0.0)).collect(),
        soft_bits: ratios
            .iter()
            .map(|ratio| ratio / mean.max(f32::MIN_POSITIVE) * depth as f32)
            .collect(),
        bit_times: BitTimes {
            first: position(first_s),
            period: (bits.end_s - first_s) * sample_rate_hz / count,
        },
        frames: hits.into_iter().map(frame).collect(),
        repeats,
    })
}
