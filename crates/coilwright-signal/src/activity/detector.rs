use std::collections::VecDeque;

use super::bursts::{Stretches, sort_out};
use super::edge_windows::{KeptWindow, WindowStore};
use super::history::{History, RawView};
use super::jumps::{Direction, JumpDetector, JumpEvent};
use super::level::LevelMeter;
use super::refine::EdgeFinder;
use super::{Activity, ActivityError, EdgeWindow, LevelKind};

/// Samples of an [`EdgeWindow`] before its edge.
const SAMPLES_BEFORE_EDGE: u64 = 64;
/// Time after the edge: 8 time constants of a ring with Q 50 at 125 kHz.
const AFTER_EDGE_S: f64 = 1.05e-3;
const AFTER_EDGE_FEWEST: u64 = 128;
const AFTER_EDGE_MOST: u64 = 16_384;
/// Windows whose levels are measured in one go.
const BATCH_WINDOWS: usize = 512;

/// Finds when the field is on from blocks of a capture.
///
/// Memory does not grow with the length of the capture: the latest samples, at most 16 384 changes of level and 64
/// windows of raw samples are held. The result does not depend on how the capture is cut into blocks.
///
/// ```
/// use coilwright_signal::activity::{ActivityDetector, EdgeKind, LevelKind};
///
/// let rate_hz = 1e6;
/// let mut detector = ActivityDetector::new(rate_hz, 125e3, LevelKind::RealCarrier)?;
/// let samples: Vec<f32> = (0..60_000)
///     .map(|n| if n < 20_000 { 0.0 } else { (0.785_398_2 * (n - 20_000) as f32).sin() })
///     .collect();
/// for block in samples.chunks(4096) {
///     detector.push(block);
/// }
/// let (activity, windows) = detector.finish();
/// assert_eq!(activity.edges[0].kind, EdgeKind::On);
/// assert!(activity.edges[0].sample.abs_diff(20_000) <= 2);
/// assert_eq!(windows[0].first_sample, activity.edges[0].sample - 64);
/// # Ok::<(), coilwright_signal::activity::ActivityError>(())
/// ```
pub struct ActivityDetector {
    sample_rate_hz: f64,
    meter: LevelMeter,
    finder: EdgeFinder,
    jumps: JumpDetector,
    history: History,
    pending: VecDeque<Pending>,
    next_due: u64,
    rising: WindowStore,
    falling: WindowStore,
    samples: u64,
    next_window: u64,
    after_edge: u64,
    levels: Vec<f32>,
}

/// A change of level whose samples have not all arrived.
#[derive(Clone, Copy, Debug)]
struct Pending {
    segment: usize,
    window: u64,
    latest: u64,
    direction: Direction,
    due: u64,
    edge: Option<u64>,
}

impl ActivityDetector {
    /// A detector for a capture with the given rate, whose carrier appears at `carrier_hz`.
    ///
    /// `carrier_hz` is the frequency as it stands in the capture, folded if it was undersampled, and should be right
    /// to a few hertz.
    ///
    /// # Errors
    /// [`ActivityError`] if the rate is not positive or the carrier lies outside the band.
    pub fn new(
        sample_rate_hz: f64,
        carrier_hz: f64,
        kind: LevelKind,
    ) -> Result<Self, ActivityError> {
        let meter = LevelMeter::new(sample_rate_hz, carrier_hz, kind)?;
        let window_samples = meter.window_samples();
        let finder = EdgeFinder::new(sample_rate_hz, carrier_hz, kind, window_samples);
        let after_edge =
            ((AFTER_EDGE_S * sample_rate_hz) as u64).clamp(AFTER_EDGE_FEWEST, AFTER_EDGE_MOST);
        let keep = finder.samples_before()
            + finder.samples_after()
            + (after_edge + SAMPLES_BEFORE_EDGE) as usize;
        Ok(Self {
            sample_rate_hz,
            jumps: JumpDetector::new(window_samples as f64 / sample_rate_hz),
            history: History::new(kind.width(), keep + 4 * window_samples),
            meter,
            finder,
            pending: VecDeque::new(),
            next_due: u64::MAX,
            rising: WindowStore::new(),
            falling: WindowStore::new(),
            samples: 0,
            next_window: 0,
            after_edge,
            levels: Vec::with_capacity(BATCH_WINDOWS),
        })
    }

    /// Takes the next block: any number of samples, I, Q pairs for a complex capture.
    pub fn push(&mut self, block: &[f32]) {
        let history = std::mem::replace(&mut self.history, History::new(1, 0));
        let view = history.view(block);
        let width = self.meter.window_values() / self.meter.window_samples();
        let block_start = self.samples;
        self.samples += (block.len() / width) as u64;
        let window_samples = self.meter.window_samples() as u64;
        while self.next_start() < block_start && self.next_start() + window_samples <= self.samples
        {
            let (_, window) = view.copy(self.next_start(), self.next_start() + window_samples);
            self.take_windows_of(&window, view);
        }
        let from = self.next_start().saturating_sub(block_start) as usize * width;
        let rest = block.get(from..).unwrap_or_default();
        for batch in rest.chunks(BATCH_WINDOWS * self.meter.window_values()) {
            self.take_windows_of(batch, view);
        }
        self.history = history;
        self.history.append(block);
    }

    /// When the field was on, and the raw samples round the edges: the first 16 of each direction and a fair choice
    /// of up to 16 later ones, sorted by edge.
    #[must_use]
    pub fn finish(mut self) -> (Activity, Vec<EdgeWindow>) {
        let history = std::mem::replace(&mut self.history, History::new(1, 0));
        self.next_due = u64::MAX;
        while !self.pending.is_empty() {
            self.take_pending(history.view(&[]));
        }
        let (segments, cancelled, unlisted) = self.jumps.finish();
        let stretches = Stretches {
            segments: &segments,
            samples: self.samples,
            sample_rate_hz: self.sample_rate_hz,
        };
        let (mut activity, edge_segments) = sort_out(&stretches);
        activity.glitches += cancelled;
        activity.unlisted_changes = unlisted;
        let kept = self
            .rising
            .into_windows()
            .chain(self.falling.into_windows());
        let width = self.meter.window_values() / self.meter.window_samples();
        let mut windows: Vec<EdgeWindow> = kept
            .filter_map(|kept| edge_window(kept, &activity, &edge_segments, width))
            .collect();
        windows.sort_by_key(|window| window.edge_index);
        (activity, windows)
    }

    fn next_start(&self) -> u64 {
        self.next_window * self.meter.window_samples() as u64
    }

    fn take_windows_of(&mut self, values: &[f32], view: RawView<'_>) {
        let mut levels = std::mem::take(&mut self.levels);
        levels.clear();
        self.meter.measure(values, &mut levels);
        let window_samples = self.meter.window_samples() as u64;
        let mut rest = levels.as_slice();
        while !rest.is_empty() {
            let windows_to_due = self
                .next_due
                .saturating_sub(self.next_start())
                .div_ceil(window_samples);
            let run = usize::try_from(windows_to_due)
                .unwrap_or(usize::MAX)
                .clamp(1, rest.len());
            let (taken, event) = self.jumps.push(&rest[..run]);
            rest = &rest[taken..];
            self.next_window += taken as u64;
            if let Some(event) = event {
                self.note(event);
            }
            while self.next_start() >= self.next_due {
                self.take_pending(view);
            }
        }
        self.levels = levels;
    }

    fn note(&mut self, event: JumpEvent) {
        match event {
            JumpEvent::Begun {
                segment,
                window,
                latest,
                direction,
            } => {
                let noticed = window * self.meter.window_samples() as u64;
                self.jumps
                    .set_start(segment, latest * self.meter.window_samples() as u64, false);
                self.pending.push_back(Pending {
                    segment,
                    window,
                    latest,
                    direction,
                    due: noticed + self.finder.samples_after() as u64,
                    edge: None,
                });
            }
            JumpEvent::Cancelled { segment } => {
                self.pending.retain(|pending| pending.segment != segment);
                self.rising.forget(segment);
                self.falling.forget(segment);
            }
        }
        self.find_next_due();
    }

    fn find_next_due(&mut self) {
        self.next_due = self
            .pending
            .iter()
            .map(|pending| pending.due)
            .min()
            .unwrap_or(u64::MAX);
    }

    /// Takes the change that is due first one step further: its sample is found, then its window is cut out.
    fn take_pending(&mut self, view: RawView<'_>) {
        let first_due = self
            .pending
            .iter()
            .enumerate()
            .min_by_key(|(_, pending)| pending.due);
        let Some((index, &pending)) = first_due else {
            return;
        };
        let Some(edge) = pending.edge else {
            let found = self.finder.find(view, pending.window);
            let edge = found.unwrap_or(pending.latest * self.meter.window_samples() as u64);
            self.jumps.set_start(pending.segment, edge, found.is_some());
            if let Some(pending) = self.pending.get_mut(index) {
                pending.edge = Some(edge);
                pending.due = (edge + self.after_edge).max(pending.due);
            }
            self.find_next_due();
            return;
        };
        let store = match pending.direction {
            Direction::Up => &mut self.rising,
            Direction::Down => &mut self.falling,
        };
        let end = edge + self.after_edge;
        store.offer(|| {
            let (first_sample, samples) = view.copy(edge.saturating_sub(SAMPLES_BEFORE_EDGE), end);
            KeptWindow {
                segment: pending.segment,
                first_sample,
                samples,
            }
        });
        self.pending.remove(index);
        self.find_next_due();
    }
}

/// The window of a change that proved to be an edge, cut at the next change.
fn edge_window(
    mut kept: KeptWindow,
    activity: &Activity,
    edge_segments: &[usize],
    width: usize,
) -> Option<EdgeWindow> {
    let edge_index = edge_segments
        .iter()
        .position(|&segment| segment == kept.segment)?;
    let edge = activity.edges.get(edge_index)?;
    let samples = (edge.sample + edge.samples_after).saturating_sub(kept.first_sample);
    kept.samples.truncate(
        usize::try_from(samples).map_or(usize::MAX, |samples| samples.saturating_mul(width)),
    );
    Some(EdgeWindow {
        edge_index,
        first_sample: kept.first_sample,
        samples: kept.samples,
    })
}
