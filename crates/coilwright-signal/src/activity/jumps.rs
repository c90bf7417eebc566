use super::segment::Segment;
use super::steady::{CALM_LEVELS, GAIN, LOSS, Noticed, Reference, Steady};

/// Which way the level changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Direction {
    Up,
    Down,
}

/// What a window brought to light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum JumpEvent {
    /// The level changed suddenly: segment `segment` begins near window `window`, and surely before `latest`.
    Begun {
        segment: usize,
        window: u64,
        latest: u64,
        direction: Direction,
    },
    /// The level fell back to what it was: segment `segment` never was.
    Cancelled { segment: usize },
}

/// A change of level that has not settled yet.
#[derive(Clone, Copy, Debug)]
struct Movement {
    direction: Direction,
    before: f64,
    extreme: f64,
    extreme_window: f64,
    windows: u64,
}

#[derive(Clone, Copy, Debug)]
enum State {
    Steady,
    Moving(Movement),
}

/// Times of the state machine, in windows.
#[derive(Clone, Copy, Debug)]
struct Timing {
    settle_up: u64,
    settle_down: u64,
    settle_longest: u64,
    same_change: u64,
}

/// While rising: falling to this part of the top means that the field went off again. Beats of a ring that is off
/// the carrier stay above it up to Q 60.
const FALL_BACK: f64 = 0.15;
/// While falling: rising to this part of the lost level means that it came back.
const RECOVERY: f64 = 0.5;
/// Over three windows, a level that falls less than this has settled: a tail of 255 µs still falls faster.
const SETTLED_FALL: f64 = 0.85;
/// Over three windows, a level that rises less than this has settled.
const SETTLED_RISE: f64 = 1.08;
/// After a fall, a level that rises by more than this part of the level before is on its way back.
const SETTLED_PART: f64 = 0.05;
const SETTLE_UP_S: f64 = 0.5e-3;
const SETTLE_DOWN_S: f64 = 0.3e-3;
const SETTLE_LONGEST_S: f64 = 1.5e-3;
/// A second change in the same direction within this time is the rest of the first one.
const SAME_CHANGE_S: f64 = 2e-3;
const LISTED_SEGMENTS: usize = 1 << 14;

/// Splits the levels of consecutive windows into stretches of steady level.
#[derive(Debug)]
pub(super) struct JumpDetector {
    timing: Timing,
    state: State,
    steady: Steady,
    earlier_means: [f64; 3],
    /// The latest levels of a change, from which the reference starts once it has settled.
    latest: [f64; 6],
    window: u64,
    reference_before: Reference,
    finished: Vec<Segment>,
    cancelled: u64,
    unlisted: u64,
}

impl JumpDetector {
    pub(super) fn new(window_s: f64) -> Self {
        let windows = |time_s: f64, fewest: u64| ((time_s / window_s).round() as u64).max(fewest);
        Self {
            timing: Timing {
                settle_up: windows(SETTLE_UP_S, 6),
                settle_down: windows(SETTLE_DOWN_S, 4),
                settle_longest: windows(SETTLE_LONGEST_S, 12),
                same_change: windows(SAME_CHANGE_S, 12),
            },
            state: State::Steady,
            steady: Steady::default(),
            earlier_means: [0.0; 3],
            latest: [0.0; 6],
            window: 0,
            reference_before: Reference::default(),
            finished: Vec::new(),
            cancelled: 0,
            unlisted: 0,
        }
    }

    /// Takes the levels of the next windows up to the first event; gives how many were taken.
    pub(super) fn push(&mut self, levels: &[f32]) -> (usize, Option<JumpEvent>) {
        let mut taken = 0;
        while let Some(rest) = levels.get(taken..).filter(|rest| !rest.is_empty()) {
            let (count, event) = if self.window < 3 {
                self.steady.shift(rest[0]);
                self.window += 1;
                (1, None)
            } else if let State::Moving(movement) = self.state {
                self.window += 1;
                (1, self.follow(movement, rest[0]))
            } else {
                self.watch(rest)
            };
            taken += count;
            if event.is_some() {
                return (taken, event);
            }
        }
        (taken, None)
    }

    /// The segments, the number of cancelled changes and the number of changes that were not listed.
    pub(super) fn finish(mut self) -> (Vec<Segment>, u64, u64) {
        match self.state {
            State::Moving(movement) => self.steady.segment.extreme = movement.extreme_window,
            State::Steady => {
                let seen = self.window.min(3) as usize;
                for &level in self.steady.recent.iter().rev().take(seen).rev() {
                    self.steady.segment.add(level);
                }
            }
        }
        self.finished.push(self.steady.segment);
        (self.finished, self.cancelled, self.unlisted)
    }

    /// Sets where a segment begins.
    pub(super) fn set_start(&mut self, segment: usize, start: u64, refined: bool) {
        let current = self.finished.len();
        let target = if segment == current {
            Some(&mut self.steady.segment)
        } else {
            self.finished.get_mut(segment)
        };
        if let Some(target) = target {
            target.start = start;
            target.refined = refined;
        }
    }

    fn watch(&mut self, levels: &[f32]) -> (usize, Option<JumpEvent>) {
        let mut steady = self.steady;
        let mut taken = 0;
        while let Some(rest) = levels.get(taken..).filter(|rest| !rest.is_empty()) {
            if let Some(calm) = rest.first_chunk::<CALM_LEVELS>()
                && steady.pass_over(calm)
            {
                taken += CALM_LEVELS;
                continue;
            }
            for &level in &rest[..rest.len().min(CALM_LEVELS)] {
                taken += 1;
                if let Some(noticed) = steady.step(level) {
                    self.window += taken as u64;
                    self.steady = steady;
                    let event = self.begin(noticed, steady.reference.mean);
                    return (taken, event);
                }
            }
        }
        self.window += levels.len() as u64;
        self.steady = steady;
        (levels.len(), None)
    }

    fn begin(&mut self, noticed: Noticed, before: f64) -> Option<JumpEvent> {
        let direction = noticed.direction;
        let mean = self.steady.recent_mean();
        let mut movement = Movement {
            direction,
            before,
            extreme: mean,
            extreme_window: self.steady.recent[2],
            windows: 0,
        };
        self.earlier_means = [mean; 3];
        if self.steady.segment.direction == Some(direction)
            && self.steady.segment.steady_windows() < self.timing.same_change
        {
            movement.before = self.reference_before.mean;
            self.steady.segment = self.steady.segment.begun_again();
            self.state = State::Moving(movement);
            return None;
        }
        if self.finished.len() + 1 >= LISTED_SEGMENTS {
            self.unlisted += 1;
            self.steady.restart(Reference::default());
            self.state = State::Steady;
            return None;
        }
        self.steady.segment.exit = Some(before);
        self.finished.push(self.steady.segment);
        self.steady.segment = Segment::after(direction);
        self.reference_before = self.steady.reference.at(before);
        self.state = State::Moving(movement);
        Some(JumpEvent::Begun {
            segment: self.finished.len(),
            window: self.window.saturating_sub(noticed.windows_ago),
            latest: self.window,
            direction,
        })
    }

    fn follow(&mut self, mut movement: Movement, level: f32) -> Option<JumpEvent> {
        self.steady.shift(level);
        let level = self.steady.recent[2];
        self.latest.rotate_left(1);
        self.latest[5] = level;
        let mean = self.steady.recent_mean();
        let older = self.earlier_means[0];
        self.earlier_means = [self.earlier_means[1], self.earlier_means[2], mean];
        movement.windows += 1;
        let (turned, settled, shortest) = match movement.direction {
            Direction::Up => {
                movement.extreme = movement.extreme.max(mean);
                movement.extreme_window = movement.extreme_window.max(level);
                let fall_back = movement.before + FALL_BACK * (movement.extreme - movement.before);
                (
                    mean < fall_back,
                    mean <= SETTLED_RISE * older && mean >= SETTLED_FALL * older,
                    self.timing.settle_up,
                )
            }
            Direction::Down => {
                movement.extreme = movement.extreme.min(mean);
                movement.extreme_window = movement.extreme_window.min(level);
                let recovery = movement.extreme + RECOVERY * (movement.before - movement.extreme);
                let rises = mean - older > SETTLED_PART * movement.before;
                let settled = mean >= SETTLED_FALL * older && !rises;
                (mean > recovery, settled, self.timing.settle_down)
            }
        };
        self.state = State::Moving(movement);
        if turned && movement.windows > 3 {
            if movement.direction == Direction::Up && self.fell_back(movement.direction, mean) {
                return self.settle(movement, mean);
            }
            self.steady.segment.extreme = movement.extreme_window;
            let direction = match movement.direction {
                Direction::Up => Direction::Down,
                Direction::Down => Direction::Up,
            };
            let noticed = Noticed {
                direction,
                windows_ago: 3,
            };
            return self.begin(noticed, movement.extreme);
        }
        let waited = movement.windows >= shortest;
        if waited && (settled || movement.windows >= self.timing.settle_longest) {
            return self.settle(movement, mean);
        }
        None
    }

    /// Whether the level is back at what it was before the change.
    fn fell_back(&self, direction: Direction, mean: f64) -> bool {
        let before = self.reference_before.mean;
        match direction {
            Direction::Up => mean - before < GAIN * before.abs(),
            Direction::Down => before - mean < LOSS * before.abs(),
        }
    }

    fn settle(&mut self, movement: Movement, mean: f64) -> Option<JumpEvent> {
        self.state = State::Steady;
        if self.fell_back(movement.direction, mean)
            && let Some(previous) = self.finished.pop()
        {
            let segment = self.finished.len() + 1;
            self.steady.segment = previous;
            self.steady.segment.exit = None;
            self.steady.restart(self.reference_before);
            self.cancelled += 1;
            return Some(JumpEvent::Cancelled { segment });
        }
        let seen = movement.windows.min(self.latest.len() as u64) as usize;
        self.steady
            .restart(Reference::of(&self.latest[self.latest.len() - seen..]));
        self.steady.segment.extreme = mean;
        self.steady.peak = self.steady.peak.max(mean);
        None
    }
}
