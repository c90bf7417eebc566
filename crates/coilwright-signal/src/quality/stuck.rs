use pulp::Arch;

use super::kernel::HasFourAlike;
use super::result::LostSamples;
use crate::Span;

/// Lowest frequency that counts as a carrier here; one of its cycles cannot stand still.
const SLOWEST_CARRIER_HZ: f64 = 100e3;
const CYCLE_FEWEST: usize = 8;
const CYCLE_MOST: usize = 256;
/// The signal beside a stuck run must swing by this part of the whole range.
const LIVE_PART: f64 = 0.25;
/// ... and right beside it by this part of its swing two cycles away, for a decaying tail swings less; and two cycles away
/// by this part of that beside it, for a lone spark in silence does not last so long.
const ABRUPT_PART: f64 = 0.6;
/// Longer runs are silence.
const LONGEST_S: f64 = 5e-3;
const LISTED: usize = 64;

/// Finds runs of one value inside a live signal.
#[derive(Debug)]
pub(super) struct StuckWatch {
    width: usize,
    cycle_samples: usize,
    longest_samples: u64,
    run: Option<Run>,
    /// Range of the last chunk.
    last_swing: f64,
    found: LostSamples,
}

/// A run that is still going on.
#[derive(Clone, Copy, Debug)]
struct Run {
    /// First of the like samples.
    start: i64,
    /// Whether the signal ran up to it; asked once the run lasts for a cycle.
    live_before: Option<bool>,
}

impl StuckWatch {
    pub(super) fn new(sample_rate_hz: f64, width: usize) -> Self {
        let cycle_samples =
            ((sample_rate_hz / SLOWEST_CARRIER_HZ) as usize).clamp(CYCLE_FEWEST, CYCLE_MOST);
        Self {
            width,
            cycle_samples,
            longest_samples: (LONGEST_S * sample_rate_hz) as u64,
            run: None,
            last_swing: 0.0,
            found: LostSamples::default(),
        }
    }

    /// Values before the first one of a chunk that must be handed in again with it.
    pub(super) const fn context_values(&self) -> usize {
        8 * self.cycle_samples * self.width
    }

    /// Values at the end of a chunk that are only looked at together with the next one.
    const fn lag_values(&self) -> usize {
        3 * self.cycle_samples * self.width
    }

    /// Takes context and chunk; `first` is the position of the first value in samples, `swing` the range of the
    /// chunk and `range` that of all values.
    pub(super) fn push(&mut self, arch: Arch, values: &[f32], first: i64, swing: f64, range: f64) {
        let liveliest = swing.max(std::mem::replace(&mut self.last_swing, swing));
        let live_run = self.run.is_some_and(|run| run.live_before == Some(true));
        if liveliest < LIVE_PART * range && !live_run {
            self.run = None;
            return;
        }
        let from = self.context_values() - self.lag_values();
        let to = values.len().saturating_sub(self.lag_values());
        // Three samples more, so that a run that has only just begun is seen as well.
        let fresh = values.get(from..to + 3 * self.width).unwrap_or_default();
        if self.run.is_none()
            && !arch.dispatch(HasFourAlike {
                values: fresh,
                width: self.width,
            })
        {
            return;
        }
        let samples = values
            .get(from..to)
            .unwrap_or_default()
            .chunks_exact(self.width);
        let earlier = values
            .get(from - self.width..)
            .unwrap_or_default()
            .chunks_exact(self.width);
        let origin = first + (from / self.width).cast_signed() as i64;
        for (offset, (sample, before)) in samples.zip(earlier).enumerate() {
            let (index, position) = (
                from + offset * self.width,
                origin + offset.cast_signed() as i64,
            );
            if sample == before {
                self.lengthen(values, index, position, range);
            } else if let Some(run) = self.run.take() {
                let live =
                    run.live_before == Some(true) && self.is_live_after(values, index, range);
                self.end(run.start, position, live);
            }
        }
    }

    /// A sample like the one before.
    fn lengthen(&mut self, values: &[f32], index: usize, position: i64, range: f64) {
        let mut run = self.run.unwrap_or(Run {
            start: position - 1,
            live_before: None,
        });
        let length = (position - run.start) as usize;
        if run.live_before.is_none() && length + 1 >= self.cycle_samples {
            run.live_before = Some(self.is_live_before(values, index - length * self.width, range));
        }
        self.run = Some(run);
    }

    pub(super) fn finish(self) -> LostSamples {
        self.found
    }

    fn end(&mut self, start: i64, end: i64, live: bool) {
        let span = Span::new(start.max(0).cast_unsigned(), end.max(0).cast_unsigned());
        if !live || span.len() > self.longest_samples {
            return;
        }
        self.found.count += 1;
        self.found.samples += span.len();
        if self.found.spans.len() < LISTED {
            self.found.spans.push(span);
        }
    }

    fn is_live_before(&self, values: &[f32], begin: usize, range: f64) -> bool {
        let cycle = self.cycle_samples * self.width;
        begin >= 3 * cycle && self.is_abrupt(values, begin - cycle, begin - 3 * cycle, range)
    }

    fn is_live_after(&self, values: &[f32], end: usize, range: f64) -> bool {
        let cycle = self.cycle_samples * self.width;
        self.is_abrupt(values, end, end + 2 * cycle, range)
    }

    fn is_abrupt(&self, values: &[f32], near: usize, far: usize, range: f64) -> bool {
        let swing = |from: usize| {
            let part = values
                .get(from..from + self.cycle_samples * self.width)
                .unwrap_or_default();
            let highest = part.iter().copied().fold(f32::NEG_INFINITY, f32::max);
            f64::from(highest - part.iter().copied().fold(f32::INFINITY, f32::min))
        };
        let (near, far) = (swing(near), swing(far));
        near > LIVE_PART * range && near > ABRUPT_PART * far && far > ABRUPT_PART * near
    }
}
