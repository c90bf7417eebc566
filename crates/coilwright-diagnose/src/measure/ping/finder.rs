//! Looks for pings while a capture is read. What it keeps does not grow with the capture.

use coilwright_signal::Span;
use coilwright_signal::capture::{CaptureInfo, SampleKind};

use super::envelope::{block_samples, peak_to_peak};
use super::record::{Ping, farthest, reach};
use super::shape::{Opening, Shape, is_steady, pings};
use crate::measure::segments::Segment;

/// Pings that are fitted jointly at most; the error falls with the root of their number.
const FITTED_AT_MOST: usize = 12;
/// Spans that are listed at most.
const LISTED: usize = 64;
/// Share of the strongest ping that another must have to count beside it.
const COMPARABLE: f32 = 0.1;
/// Samples of a ping that are kept at most, which bounds the memory at very high sample rates.
const LONGEST_RECORD: usize = 1 << 16;
/// Length over which a field must stay for a plateau, in seconds: any burst of 1 ms holds one of these.
const PLATEAU_S: f64 = 0.5e-3;
/// Share of the pings' peak that a plateau must have for the capture to hold a field: a ring of Q 60 at 100 kHz has 7 %
/// left after this time.
const FIELD_SHARE: f32 = 0.35;

/// A first look takes one block in so many: a field that is steady there is on, and no ring rings by itself.
const FIRST_LOOK: usize = 4;

/// Finds the pings of a capture.
pub(in crate::measure) struct PingFinder {
    sample_rate_hz: f64,
    block: usize,
    real: bool,
    next_sample: u64,
    plateau: f32,
    kept: Vec<Ping>,
    listed: Vec<(Span, f32)>,
    count: u64,
    /// A ping that ran over the end of the segment: the next segment shows all of it.
    cut_off: Vec<Ping>,
}

/// The pings of a capture.
#[derive(Debug)]
pub(in crate::measure) struct Pings {
    /// The strongest, in the order of time.
    pub(super) kept: Vec<Ping>,
    /// Where they lie; at most the first [`LISTED`].
    pub spans: Vec<Span>,
    /// How many there were in all.
    pub count: u64,
    plateau: f32,
}

impl Pings {
    /// Whether a field stays on longer than a ring rings, or nothing comes and goes at all.
    pub(in crate::measure) fn sees_field(&self) -> bool {
        let mut peaks: Vec<f32> = self.kept.iter().map(|ping| ping.peak).collect();
        peaks.sort_by(f32::total_cmp);
        peaks
            .get(peaks.len() / 2)
            .is_none_or(|usual| self.plateau >= FIELD_SHARE * usual)
    }
}

impl PingFinder {
    pub(in crate::measure) fn new(info: &CaptureInfo) -> Self {
        Self {
            sample_rate_hz: info.sample_rate_hz,
            block: block_samples(info.sample_rate_hz),
            real: info.kind == SampleKind::Real,
            next_sample: 0,
            plateau: 0.0,
            kept: Vec::new(),
            listed: Vec::new(),
            count: 0,
            cut_off: Vec::new(),
        }
    }

    /// Looks through a segment.
    pub(in crate::measure) fn push(&mut self, segment: &Segment) {
        if !self.real {
            return;
        }
        let skip = (self.next_sample.saturating_sub(segment.first_sample) as usize)
            .min(segment.values.len());
        // Two blocks of what was looked at already show what came before.
        let context = skip.min(2 * self.block);
        let values = &segment.values[skip - context..];
        let first_sample = segment.first_sample + (skip - context) as u64;
        let opening = if first_sample == 0 {
            Opening::Capture
        } else {
            Opening::Later
        };
        if opening == Opening::Later && self.cut_off.is_empty() {
            let envelope = peak_to_peak(values, self.block, FIRST_LOOK);
            if is_steady(&envelope) {
                self.take_plateau(&envelope, FIRST_LOOK);
                let whole = values.len() / self.block * self.block;
                self.next_sample = first_sample + whole as u64;
                return;
            }
        }
        let envelope = peak_to_peak(values, self.block, 1);
        self.take_plateau(&envelope, 1);
        let shapes = pings(&envelope, self.block as f64 / self.sample_rate_hz, opening);
        self.cut_off.clear();
        self.next_sample = first_sample + (envelope.len() * self.block) as u64;
        for (index, &shape) in shapes.iter().enumerate() {
            let next = shapes.get(index + 1).map(|next| next.start);
            let ping = self.cut(values, first_sample, &envelope, shape, next);
            let end = shape.peak + reach(shape.half_life);
            if next.is_none() && end >= envelope.len() {
                let resume = shape.start.saturating_sub(1) * self.block;
                self.next_sample = first_sample + resume as u64;
                self.cut_off.push(ping);
            } else {
                self.keep(ping);
            }
        }
    }

    /// The pings.
    pub(in crate::measure) fn finish(mut self) -> Pings {
        for ping in std::mem::take(&mut self.cut_off) {
            self.keep(ping);
        }
        let strongest = self.kept.iter().map(|ping| ping.peak).fold(0.0, f32::max);
        let comparable = |peak: f32| peak >= COMPARABLE * strongest;
        self.kept.retain(|ping| comparable(ping.peak));
        let listed = self.listed.len();
        self.listed.retain(|&(_, peak)| comparable(peak));
        self.count -= (listed - self.listed.len()) as u64;
        self.kept.sort_by_key(|ping| ping.first_sample);
        Pings {
            kept: self.kept,
            spans: self.listed.into_iter().map(|(span, _)| span).collect(),
            count: self.count,
            plateau: self.plateau,
        }
    }

    /// Takes note of the levels of one block in `stride`.
    fn take_plateau(&mut self, envelope: &[f32], stride: usize) {
        let block_s = (stride * self.block) as f64 / self.sample_rate_hz;
        let blocks = (PLATEAU_S / block_s).ceil() as usize;
        self.plateau = envelope
            .chunks_exact(blocks.max(2))
            .map(|stretch| stretch.iter().copied().fold(f32::INFINITY, f32::min))
            .fold(self.plateau, f32::max);
    }

    fn cut(
        &self,
        values: &[f32],
        first_sample: u64,
        envelope: &[f32],
        shape: Shape,
        next: Option<usize>,
    ) -> Ping {
        let end = (shape.peak + reach(shape.half_life))
            .min(next.map_or(usize::MAX, |next| next.saturating_sub(1)))
            .max(shape.peak + 1);
        // The last block may be a broken one: then the record reaches to the end of the samples.
        let end = if end >= envelope.len() {
            values.len()
        } else {
            end * self.block
        };
        let start = shape.start.saturating_sub(1) * self.block;
        let largest = farthest(values, start, (shape.peak + 1) * self.block);
        Ping {
            span: Span {
                start: first_sample + start as u64,
                end: first_sample + end as u64,
            },
            first_sample: first_sample + largest as u64,
            samples: values[largest..end.clamp(largest, largest + LONGEST_RECORD)].to_vec(),
            peak: envelope[shape.peak],
        }
    }

    fn keep(&mut self, ping: Ping) {
        self.count += 1;
        if self.listed.len() < LISTED {
            self.listed.push((ping.span, ping.peak));
        }
        if self.kept.len() < FITTED_AT_MOST {
            self.kept.push(ping);
            return;
        }
        let weakest = self
            .kept
            .iter_mut()
            .min_by(|a, b| a.peak.total_cmp(&b.peak));
        if let Some(weakest) = weakest.filter(|weakest| weakest.peak < ping.peak) {
            *weakest = ping;
        }
    }
}
