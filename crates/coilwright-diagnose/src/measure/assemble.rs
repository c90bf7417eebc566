//! Puts the measurements together, once the capture was read.

use coilwright_coil::Zone;
use coilwright_signal::capture::CaptureInfo;
use coilwright_signal::quality::Quality;

use super::listener::Heard;
use super::ping::{PingContext, PingFinder, RungRing, reason, twins};
use super::tracker::Tracked;
use super::{ListeningSummary, Measured, field, ping, ring};
use crate::CheckOptions;
use crate::result::{CaptureSummary, Carrier, Downlink, Field, Ring, Signal, SignalKind};

/// Nominal carriers in use, in hertz.
const NOMINALS_HZ: [f64; 2] = [125_000.0, 134_200.0];

pub(super) fn summary(info: &CaptureInfo, samples: u64, warnings: Vec<String>) -> CaptureSummary {
    CaptureSummary {
        sample_rate_hz: info.sample_rate_hz,
        length_samples: samples,
        duration_s: samples as f64 / info.sample_rate_hz,
        channel: info.channel,
        channels: info.channels,
        format: info.source.format.clone(),
        unit: info.unit,
        start_time: info.start_time.clone(),
        warnings,
    }
}

/// The measurements on a lock that is driven, or on nothing at all.
pub(super) fn assemble_driven(
    capture: CaptureSummary,
    info: CaptureInfo,
    tracked: Tracked,
    heard: Heard,
    quality: Quality,
) -> Measured {
    let carrier = Carrier {
        frequency_hz: heard.carrier_hz.or(tracked.carrier_hz(info.sample_rate_hz)),
        apparent_hz: tracked.apparent_hz(),
        nominal_hz: tracked.nominal_hz,
        amplitude: heard.amplitude.or(tracked.level()),
        snr_db: heard
            .noise_dbc_hz
            .map(|noise| -noise - 10.0 * (info.sample_rate_hz / 2.0).log10()),
        third_harmonic_db: heard.third_harmonic_db,
    };
    let level_db = carrier
        .amplitude
        .zip(info.full_scale)
        .filter(|&(amplitude, full_scale)| amplitude > 0.0 && full_scale > 0.0)
        .map(|(amplitude, full_scale)| 20.0 * (amplitude / full_scale).log10());
    let ring = match (tracked.signal.kind, carrier.frequency_hz) {
        (SignalKind::Direct | SignalKind::Aliased, Some(carrier_hz)) => ring::ring(
            &tracked.activity,
            &tracked.windows,
            ring::RingContext {
                sample_rate_hz: info.sample_rate_hz,
                carrier_hz,
                carrier_amplitude: tracked.level().or(carrier.amplitude),
                quantisation_step: info.step.unwrap_or(0.0),
            },
        ),
        (kind, _) => Ring {
            reason: ring::no_carrier_reason(kind).to_owned(),
            ..Ring::not_seen()
        },
    };

    Measured {
        file: info.source.name,
        field: field::field(&tracked.activity, capture.length_samples),
        capture,
        level_db,
        signal: tracked.signal,
        carrier,
        ring,
        keys: heard.keys.finish(),
        downlink: heard.downlink,
        listening: heard.summary,
        stated_nominal_hz: None,
        quality,
    }
}

/// The ring of a ring-down capture and what the samples show of it.
pub(super) struct Rung {
    ring: Ring,
    signal: Signal,
    nominal_hz: Option<f64>,
    stated_nominal_hz: Option<f64>,
}

/// The ring, if the capture is a ring-down: pings and no field, and a ring that explains them; or the user says so.
pub(super) fn rung(info: &CaptureInfo, options: &CheckOptions, finder: PingFinder) -> Option<Rung> {
    let forced = match options.signal_kind {
        None => false,
        Some(SignalKind::RingDown) => true,
        Some(_) => return None,
    };
    let context = PingContext {
        sample_rate_hz: info.sample_rate_hz,
        nominal_hz: options
            .ring_near_hz
            .or(options.nominal_hz)
            .unwrap_or(NOMINALS_HZ[0]),
        quantisation_step: info.step.unwrap_or(0.0),
    };
    let pings = finder.finish();
    if !forced && pings.sees_field() {
        return None;
    }
    let ring = match ping::ring(&pings, context) {
        RungRing::Rings(ring) => *ring,
        RungRing::Silent(ring) if forced => *ring,
        RungRing::Silent(_) => return None,
    };
    let zone = context.zone();
    Some(Rung {
        signal: Signal {
            kind: SignalKind::RingDown,
            forced,
            zone: zone_number(zone, info.sample_rate_hz),
            inverted: zone.inverted,
            ambiguous_with_hz: twins(&ring, zone),
            reason: reason(&pings),
        },
        stated_nominal_hz: options.nominal_hz,
        nominal_hz: options.nominal_hz.or_else(|| nearest_nominal(&ring)),
        ring,
    })
}

/// Nyquist zone counted from 1.
fn zone_number(zone: Zone, sample_rate_hz: f64) -> u32 {
    let halves = (2.0 * zone.offset_hz / sample_rate_hz).round() as u32;
    if zone.inverted { halves } else { halves + 1 }
}

fn nearest_nominal(ring: &Ring) -> Option<f64> {
    let resonance_hz = ring.resonance_hz?.value;
    let distance = |nominal_hz: f64| (resonance_hz / nominal_hz).ln().abs();
    NOMINALS_HZ
        .into_iter()
        .min_by(|&a, &b| distance(a).total_cmp(&distance(b)))
}

/// The measurements on a ring-down capture: the ring and the recording, nothing of field and key.
pub(super) fn assemble_rung(
    capture: CaptureSummary,
    info: &CaptureInfo,
    rung: Rung,
    quality: Quality,
) -> Measured {
    Measured {
        file: info.source.name.clone(),
        capture,
        level_db: None,
        carrier: Carrier {
            nominal_hz: rung.nominal_hz,
            ..Carrier::default()
        },
        signal: rung.signal,
        field: Field::default(),
        ring: rung.ring,
        keys: Vec::new(),
        downlink: Downlink::default(),
        listening: ListeningSummary::default(),
        stated_nominal_hz: rung.stated_nominal_hz,
        quality,
    }
}

#[cfg(test)]
mod tests {
    use super::NOMINALS_HZ;

    /// The carriers of ISO/IEC 18000-2 and ISO 11785, from the table that names its sources.
    #[test]
    fn the_nominal_carriers_are_the_published_ones() {
        let table = include_str!("../../../../testdata/published/signal/protocol_timing.csv");
        let mut carriers_khz: Vec<&str> = table
            .lines()
            .filter_map(|line| line.split_once(" carrier,"))
            .filter_map(|(_, rest)| rest.split([',', ' ']).next())
            .collect();
        carriers_khz.sort_unstable();
        carriers_khz.dedup();
        assert_eq!(carriers_khz, NOMINALS_HZ.map(|hz| (hz / 1e3).to_string()));
    }
}
