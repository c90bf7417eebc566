//! Reads a capture segment by segment: one thread reads and finds the edges, another listens for keys.

use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};

use coilwright_signal::capture::{BlockSource, ReadError};
use coilwright_signal::quality::QualityMeter;

use super::Measured;
use super::assemble::{assemble_driven, assemble_rung, rung, summary};
use super::listener::{Heard, Listener};
use super::passage::Observer;
use super::piece::{Piece, Scout};
use super::ping::PingFinder;
use super::segments::Segments;
use super::tracker::Tracker;
use crate::{CheckError, CheckOptions};

/// How far a measurement got.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Samples read so far.
    pub samples: u64,
    /// Samples in all, where the source says so.
    pub of: Option<u64>,
}

/// Segments that may wait for the listener besides the one in the reader's hand; more would only take memory.
const WAITING: usize = 0;

/// Everything that can be measured on the capture.
pub(crate) fn measure(
    source: &mut dyn BlockSource,
    options: &CheckOptions,
    progress: &mut dyn FnMut(Progress),
    observer: Option<Observer<'_>>,
) -> Result<Measured, CheckError> {
    let info = source.info().clone();
    let mut segments = Segments::new(source);
    let mut tracker = Tracker::new(&info, options);
    let mut meter = QualityMeter::new(&info);
    let mut pings = PingFinder::new(&info);
    let (heard, tracked, quality) = std::thread::scope(|scope| {
        let (send, receive) = sync_channel(WAITING);
        let (done, spare) = channel();
        let first = Listener::new(&info, observer);
        let listener = scope.spawn(move || listen(receive, &done, first));
        let line = Line {
            pieces: &send,
            spare: &spare,
        };
        let mut watch = Watch {
            tracker: &mut tracker,
            meter: &mut meter,
            pings: &mut pings,
            scout: Scout::new(&info),
        };
        let read = read(&mut segments, &mut watch, &line, info.length, progress);
        drop(send);
        let tracked = tracker.finish();
        let quality = meter.finish(tracked.apparent_hz());
        let heard = listener.join();
        read?;
        // Nothing heard would read as a silent key, so a listener that died must not pass for one.
        let heard = heard.map_err(|_| CheckError::ListenerDied {
            file: info.source.name.clone(),
        })?;
        Ok::<_, CheckError>((heard, tracked, quality))
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
    let capture = summary(&info, samples, warnings);
    Ok(match rung(&info, options, pings) {
        Some(rung) => assemble_rung(capture, &info, rung, quality),
        None => assemble_driven(capture, info, tracked, heard, quality),
    })
}

/// To the listener and back.
struct Line<'a> {
    pieces: &'a SyncSender<Piece>,
    spare: &'a Receiver<Vec<f32>>,
}

/// What looks at the samples while they are read.
struct Watch<'a> {
    tracker: &'a mut Tracker,
    meter: &'a mut QualityMeter,
    pings: &'a mut PingFinder,
    scout: Scout,
}

fn read(
    segments: &mut Segments<'_>,
    watch: &mut Watch<'_>,
    line: &Line<'_>,
    length: Option<u64>,
    progress: &mut dyn FnMut(Progress),
) -> Result<(), ReadError> {
    while let Some(segment) = segments.next_segment(|values| watch.meter.push(values))? {
        watch.pings.push(&segment);
        if let Some(carrier) = watch.tracker.push(&segment) {
            // The listener only stops early when its thread died; the reading goes on for the other measurements.
            let _ = line.pieces.send(watch.scout.look(segment, carrier));
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

fn listen(pieces: Receiver<Piece>, done: &Sender<Vec<f32>>, mut listener: Listener<'_>) -> Heard {
    for piece in pieces {
        listener.take(&piece);
        // The reader may have ended already; then nobody needs the memory.
        let _ = done.send(piece.segment.values);
    }
    listener.finish()
}
