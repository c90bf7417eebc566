//! Prepares segments for the listener: where the field is on and where it has gaps.

use coilwright_signal::capture::{CaptureInfo, SampleKind};
use coilwright_signal::carrier::{Carrier, SignalKind};
use coilwright_signal::downlink::{Gap, gaps};

use super::segments::Segment;
use super::stretches::{Readings, hop_samples, readings};

/// A segment and what a first look shows of it.
pub(super) struct Piece {
    /// The samples.
    pub segment: Segment,
    /// Where the carrier is.
    pub carrier: Carrier,
    /// What successive windows of `hop` samples show of it.
    pub readings: Readings,
    /// Samples of a window.
    pub hop: usize,
    /// The largest level of the capture so far, as an amplitude.
    pub top: f32,
    /// Short losses of the field.
    pub gaps: Vec<Gap>,
}

impl Piece {
    /// Cycles of the carrier in a sample.
    pub(super) fn cycles_per_sample(&self, info: &CaptureInfo) -> f64 {
        self.carrier.apparent_hz.abs() / info.sample_rate_hz
    }
}

/// Takes the first look at every segment.
pub(super) struct Scout {
    info: CaptureInfo,
    carrier: Option<Carrier>,
    top: f32,
}

impl Scout {
    pub(super) fn new(info: &CaptureInfo) -> Self {
        Self {
            info: info.clone(),
            carrier: None,
            top: 0.0,
        }
    }

    /// A segment with the carrier that was found in it, for the listener.
    pub(super) fn look(&mut self, segment: Segment, carrier: Carrier) -> Piece {
        if self.carrier.replace(carrier) != Some(carrier) {
            self.top = 0.0;
        }
        let mut piece = Piece {
            segment,
            carrier,
            readings: Readings::default(),
            hop: 0,
            top: 0.0,
            gaps: Vec::new(),
        };
        let cycles_per_sample = piece.cycles_per_sample(&self.info);
        let values = &piece.segment.values;
        piece.hop = hop_samples(cycles_per_sample, self.info.sample_rate_hz);
        piece.readings = readings(values, self.info.kind, cycles_per_sample, piece.hop);
        let levels = piece.readings.levels.iter().copied();
        self.top = levels.fold(self.top, f32::max);
        piece.top = self.top;
        // Only samples that show the carrier itself can show gaps.
        if carrier.kind == SignalKind::Direct && self.info.kind == SampleKind::Real {
            let first = piece.segment.first_sample;
            piece.gaps = gaps(values, first, cycles_per_sample, self.top);
        }
        piece
    }
}
