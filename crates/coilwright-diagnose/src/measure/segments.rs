//! Cuts a stream into overlapping segments, so that memory stays bounded and no frame is lost at a cut.

use coilwright_signal::capture::{BlockSource, CaptureInfo, ReadError};

/// Longest part of a segment, in seconds: enough to find a bit rate and several frames in.
const SEGMENT_S: f64 = 0.45;
/// Shortest segment in samples, so that slow recordings are not cut into crumbs.
const SEGMENT_MIN_SAMPLES: usize = 1 << 17;
/// Longest segment in samples, which bounds the memory at very high sample rates.
const SEGMENT_MAX_SAMPLES: usize = 1 << 21;
/// What a segment repeats of the one before, in seconds: longer than the longest frame (64 bits of 64 cycles at 125 kHz last 33 ms).
const OVERLAP_S: f64 = 0.04;
/// Largest part of a segment that the overlap may take, as a divisor.
const OVERLAP_DIVISOR: usize = 4;

/// Values that are read in one go, a multiple of what a sample takes.
const PIECE_VALUES: usize = 1 << 14;

/// A piece of the capture.
#[derive(Debug)]
pub(super) struct Segment {
    /// Position of its first sample in the capture.
    pub first_sample: u64,
    /// Values of samples that the segment before did not hold start here.
    pub fresh: usize,
    /// The values: one `f32` a sample, or I, Q pairs.
    pub values: Vec<f32>,
}

/// Reads a source segment by segment.
pub(super) struct Segments<'a> {
    source: &'a mut dyn BlockSource,
    length: usize,
    overlap: usize,
    width: usize,
    tail: Vec<f32>,
    spare: Vec<Vec<f32>>,
    next_sample: u64,
    ended: bool,
}

impl<'a> Segments<'a> {
    pub(super) fn new(source: &'a mut dyn BlockSource) -> Self {
        let info: &CaptureInfo = source.info();
        let width = info.kind.width();
        let length = ((info.sample_rate_hz * SEGMENT_S) as usize)
            .clamp(SEGMENT_MIN_SAMPLES, SEGMENT_MAX_SAMPLES);
        let overlap = ((info.sample_rate_hz * OVERLAP_S) as usize).min(length / OVERLAP_DIVISOR);
        Self {
            source,
            length: length * width,
            overlap: overlap * width,
            width,
            tail: Vec::new(),
            spare: Vec::new(),
            next_sample: 0,
            ended: false,
        }
    }

    /// The next segment, or `None` at the end. `length` fresh samples are in it unless the capture ends; `seen` is told of
    /// them bit by bit, while the cache still holds them.
    pub(super) fn next_segment(
        &mut self,
        mut seen: impl FnMut(&[f32]),
    ) -> Result<Option<Segment>, ReadError> {
        if self.ended {
            return Ok(None);
        }
        let fresh = self.tail.len();
        let mut values = self
            .spare
            .pop()
            .unwrap_or_else(|| Vec::with_capacity(self.length + self.overlap));
        if values.len() < fresh {
            values.resize(fresh, 0.0);
        }
        values[..fresh].copy_from_slice(&self.tail);
        self.tail.clear();
        let wanted = fresh + self.length;
        let mut filled = fresh;
        while filled < wanted {
            let end = wanted.min(filled + PIECE_VALUES);
            if values.len() < end {
                values.resize(end, 0.0);
            }
            let count = self.source.read_block(&mut values[filled..end])?;
            if count == 0 {
                self.ended = true;
                break;
            }
            seen(&values[filled..filled + count]);
            filled += count;
        }
        values.truncate(filled);
        if filled == fresh {
            return Ok(None);
        }
        let first_sample = self.next_sample - (fresh / self.width) as u64;
        self.next_sample += ((filled - fresh) / self.width) as u64;
        if !self.ended {
            self.tail
                .extend_from_slice(&values[filled - self.overlap.min(filled)..]);
        }
        Ok(Some(Segment {
            first_sample,
            fresh,
            values,
        }))
    }

    /// Takes the values of a segment that is done with, so that the next one needs no fresh memory.
    pub(super) fn give_back(&mut self, values: Vec<f32>) {
        self.spare.push(values);
    }

    /// Samples read so far.
    pub(super) const fn samples_read(&self) -> u64 {
        self.next_sample
    }

    /// The source, for its warnings.
    pub(super) fn source(&self) -> &dyn BlockSource {
        self.source
    }
}
