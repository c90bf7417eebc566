//! Reads a capture segment by segment: one thread reads and finds the edges, another listens for keys.

use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};

use coilwright_signal::capture::{BlockSource, CaptureInfo, ReadError};
use coilwright_signal::quality::{Quality, QualityMeter};

use super::listener::{Heard, Listener, Piece};
use super::segments::Segments;
use super::tracker::{Tracked, Tracker};
use super::{Measured, field, ring};
use crate::result::{CaptureSummary, Carrier, Ring, SignalKind};
use crate::{CheckError, CheckOptions};

/// How far a measurement got.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Samples read so far.
    pub samples: u64,
    /// Samples in all, where the source says so.
    pub of: Option<u64>,
}

/// Segments that may wait for the listener; more would only take memory.
const WAITING: usize = 1;

/// Everything that can be measured on the capture.
pub(crate) fn measure(
    source: &mut dyn BlockSource,
    options: &CheckOptions,
    progress: &mut dyn FnMut(Progress),
) -> Result<Measured, CheckError> {
    let info = source.info().clone();
    let mut segments = Segments::new(source);
    let mut tracker = Tracker::new(&info, options);
    let mut meter = QualityMeter::new(&info);
    let heard = std::thread::scope(|scope| {
        let (send, receive) = sync_channel(WAITING);
        let (done, spare) = channel();
        let first = Listener::new(&info);
        let listener = scope.spawn(move || listen(receive, &done, first));
        let line = Line {
            pieces: &send,
            spare: &spare,
        };
        let read = read(
            &mut segments,
            &mut tracker,
            &mut meter,
            &line,
            info.length,
            progress,
        );
        drop(send);
        let heard = listener.join();
        read?;
        // Nothing heard would read as a silent key, so a listener that died must not pass for one.
        heard.map_err(|_| CheckError::ListenerDied {
            file: info.source.name.clone(),
        })
    })?;
    let samples = segments.samples_read();
    if samples == 0 {
        return Err(CheckError::Empty {
            file: info.source.name,
        });
    }
    let warnings = segments
        .source()
        .warnings()
        .iter()
        .map(ToString::to_string)
        .collect();
    let tracked = tracker.finish();
    let quality = meter.finish(tracked.apparent_hz());
    Ok(assemble(
        summary(&info, samples, warnings),
        info,
        tracked,
        heard,
        quality,
    ))
}

/// To the listener and back.
struct Line<'a> {
    pieces: &'a SyncSender<Piece>,
    spare: &'a Receiver<Vec<f32>>,
}

fn read(
    segments: &mut Segments<'_>,
    tracker: &mut Tracker,
    meter: &mut QualityMeter,
    line: &Line<'_>,
    length: Option<u64>,
    progress: &mut dyn FnMut(Progress),
) -> Result<(), ReadError> {
    while let Some(segment) = segments.next_segment()? {
        meter.push(&segment.values[segment.fresh..]);
        if let Some(carrier) = tracker.push(&segment) {
            // The listener only stops early when its thread died; the reading goes on for the other measurements.
            let _ = line.pieces.send(Piece { segment, carrier });
        } else {
            segments.give_back(segment.values);
        }
        while let Ok(values) = line.spare.try_recv() {
            segments.give_back(values);
        }
        progress(Progress {
            samples: segments.samples_read(),
            of: length,
        });
    }
    Ok(())
}

fn listen(pieces: Receiver<Piece>, done: &Sender<Vec<f32>>, mut listener: Listener) -> Heard {
    for piece in pieces {
        listener.take(&piece);
        // The reader may have ended already; then nobody needs the memory.
        let _ = done.send(piece.segment.values);
    }
    listener.finish()
}

fn summary(info: &CaptureInfo, samples: u64, warnings: Vec<String>) -> CaptureSummary {
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

fn assemble(
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
        listening: heard.summary,
        quality,
    }
}
