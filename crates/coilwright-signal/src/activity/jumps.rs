/// Which way the level changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Direction {
    Up,
    Down,
}

/// What a window brought to light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum JumpEvent {
    /// The level changed suddenly: segment `segment` begins near window `window`.
    Begun {
        segment: usize,
        window: u64,
        direction: Direction,
    },
    /// The level fell back to what it was: segment `segment` never was.
    Cancelled { segment: usize },
}

/// A stretch of steady level and the change that it began with.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Segment {
    /// First sample of the change; set once it was found.
    pub(super) start: u64,
    /// Whether `start` was found on the raw samples.
    pub(super) refined: bool,
    direction: Option<Direction>,
    windows: u64,
    sum: f64,
    difference_square_sum: f64,
    last: f64,
    extreme: f64,
    entry_sum: f64,
    exit: Option<f64>,
}

/// Windows over which the level is taken just after it settled.
const ENTRY_WINDOWS: u64 = 16;

impl Segment {
    /// Windows over which the level was steady.
    pub(super) const fn steady_windows(&self) -> u64 {
        self.windows
    }

    /// Mean of the settled level; where it never settled, the level at which it turned.
    pub(super) fn level(&self) -> f64 {
        if self.windows == 0 {
            self.extreme
        } else {
            self.sum / self.windows as f64
        }
    }

    /// Level just after it settled.
    pub(super) fn entry_level(&self) -> f64 {
        if self.windows == 0 {
            self.extreme
        } else {
            self.entry_sum / self.windows.min(ENTRY_WINDOWS) as f64
        }
    }

    /// Level just before the next change.
    pub(super) fn exit_level(&self) -> f64 {
        self.exit.unwrap_or_else(|| self.level())
    }

    /// Scatter from window to window over the level: 0.52 for noise alone, free of slow changes of level.
    pub(super) fn scatter(&self) -> f64 {
        if self.windows < 2 {
            return 0.0;
        }
        let variance = self.difference_square_sum / (2.0 * (self.windows - 1) as f64);
        variance.sqrt() / self.level().abs().max(f64::MIN_POSITIVE)
    }

    fn add(&mut self, level: f64) {
        if self.windows > 0 {
            self.difference_square_sum += (level - self.last).powi(2);
        }
        if self.windows < ENTRY_WINDOWS {
            self.entry_sum += level;
        }
        self.windows += 1;
        self.sum += level;
        self.last = level;
    }
}

/// Running mean and variance of the level that new windows are held against.
#[derive(Clone, Copy, Debug, Default)]
struct Reference {
    windows: f64,
    mean: f64,
    variance: f64,
}

impl Reference {
    fn add(&mut self, level: f64) {
        self.windows = (self.windows + 1.0).min(MEMORY_WINDOWS);
        let gain = 1.0 / self.windows;
        let deviation = level - self.mean;
        self.mean += gain * deviation;
        self.variance += gain * ((1.0 - gain) * deviation * deviation - self.variance);
    }
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

/// Windows that the reference remembers: 4 ms at 125 kHz, so that slow changes of level are followed.
const MEMORY_WINDOWS: f64 = 256.0;
/// A reference of fewer windows is not yet held against anything.
const FEWEST_WINDOWS: f64 = 6.0;
/// A loss of this part of the level is a change; load modulation reaches 17 % peak to peak.
const LOSS: f64 = 0.30;
/// The rise that undoes such a loss.
const GAIN: f64 = 1.0 / (1.0 - LOSS) - 1.0;
/// Standard errors of the mean of three windows; Rayleigh tails need this many for one false alarm in 10⁹ windows.
const STANDARD_ERRORS: f64 = 8.0;
/// Changes smaller than this part of the highest level are below everything of interest.
const PEAK_PART: f64 = 0.02;
/// While rising: falling to this part of the top means that the field went off again. Beats of a ring that is off
/// the carrier stay above it up to Q 60.
const FALL_BACK: f64 = 0.15;
/// While falling: rising to this part of the lost level means that it came back.
const RECOVERY: f64 = 0.5;
/// Over three windows, a level that falls less than this has settled: a tail of 255 µs still falls faster.
const SETTLED_FALL: f64 = 0.85;
/// Over three windows, a level that rises less than this has settled.
const SETTLED_RISE: f64 = 1.08;
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
    recent: [f64; 3],
    earlier_means: [f64; 3],
    window: u64,
    peak: f64,
    reference: Reference,
    reference_before: Reference,
    finished: Vec<Segment>,
    current: Segment,
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
            recent: [0.0; 3],
            earlier_means: [0.0; 3],
            window: 0,
            peak: 0.0,
            reference: Reference::default(),
            reference_before: Reference::default(),
            finished: Vec::new(),
            current: Segment::default(),
            cancelled: 0,
            unlisted: 0,
        }
    }

    /// Takes the level of the next window.
    pub(super) fn push(&mut self, level: f32) -> Option<JumpEvent> {
        let level = if level.is_finite() {
            f64::from(level)
        } else {
            self.recent[2]
        };
        let leaving = self.recent[0];
        self.recent = [self.recent[1], self.recent[2], level];
        self.window += 1;
        if self.window <= 3 {
            return None;
        }
        match self.state {
            State::Steady => self.watch(leaving),
            State::Moving(movement) => self.follow(movement, level),
        }
    }

    /// The segments, the number of cancelled changes and the number of changes that were not listed.
    pub(super) fn finish(mut self) -> (Vec<Segment>, u64, u64) {
        match self.state {
            State::Moving(movement) => self.current.extreme = movement.extreme_window,
            State::Steady => self
                .recent
                .iter()
                .for_each(|&level| self.current.add(level)),
        }
        self.finished.push(self.current);
        (self.finished, self.cancelled, self.unlisted)
    }

    /// Sets where a segment begins.
    pub(super) fn set_start(&mut self, segment: usize, start: u64, refined: bool) {
        let current = self.finished.len();
        let target = if segment == current {
            Some(&mut self.current)
        } else {
            self.finished.get_mut(segment)
        };
        if let Some(target) = target {
            target.start = start;
            target.refined = refined;
        }
    }

    fn recent_mean(&self) -> f64 {
        (self.recent[0] + self.recent[1] + self.recent[2]) / 3.0
    }

    fn watch(&mut self, leaving: f64) -> Option<JumpEvent> {
        self.reference.add(leaving);
        self.current.add(leaving);
        self.peak = self.peak.max(self.reference.mean);
        let deviation = self.recent_mean() - self.reference.mean;
        let relative = if deviation > 0.0 { GAIN } else { LOSS };
        let limit = (relative * self.reference.mean.abs()).max(PEAK_PART * self.peak);
        let variance_limit = STANDARD_ERRORS * STANDARD_ERRORS / 3.0 * self.reference.variance;
        let jumped = deviation.abs() > limit
            && deviation * deviation > variance_limit
            && self.reference.windows >= FEWEST_WINDOWS;
        if !jumped {
            return None;
        }
        let direction = if deviation > 0.0 {
            Direction::Up
        } else {
            Direction::Down
        };
        self.begin(direction, self.reference.mean)
    }

    fn begin(&mut self, direction: Direction, before: f64) -> Option<JumpEvent> {
        let mean = self.recent_mean();
        let mut movement = Movement {
            direction,
            before,
            extreme: mean,
            extreme_window: self.recent[2],
            windows: 0,
        };
        self.earlier_means = [mean; 3];
        if self.current.direction == Some(direction)
            && self.current.windows < self.timing.same_change
        {
            movement.before = self.reference_before.mean;
            self.current = Segment {
                start: self.current.start,
                refined: self.current.refined,
                direction: self.current.direction,
                ..Segment::default()
            };
            self.state = State::Moving(movement);
            return None;
        }
        if self.finished.len() + 1 >= LISTED_SEGMENTS {
            self.unlisted += 1;
            self.reference = Reference::default();
            self.state = State::Steady;
            return None;
        }
        self.current.exit = Some(before);
        self.finished.push(self.current);
        self.current = Segment {
            direction: Some(direction),
            ..Segment::default()
        };
        self.reference_before = Reference {
            mean: before,
            ..self.reference
        };
        self.state = State::Moving(movement);
        Some(JumpEvent::Begun {
            segment: self.finished.len(),
            window: self.window.saturating_sub(3),
            direction,
        })
    }

    fn follow(&mut self, mut movement: Movement, level: f64) -> Option<JumpEvent> {
        let mean = self.recent_mean();
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
                    mean <= SETTLED_RISE * older,
                    self.timing.settle_up,
                )
            }
            Direction::Down => {
                movement.extreme = movement.extreme.min(mean);
                movement.extreme_window = movement.extreme_window.min(level);
                let recovery = movement.extreme + RECOVERY * (movement.before - movement.extreme);
                let settled = mean >= SETTLED_FALL * older;
                (mean > recovery, settled, self.timing.settle_down)
            }
        };
        self.state = State::Moving(movement);
        if turned && movement.windows > 3 {
            self.current.extreme = movement.extreme_window;
            let direction = match movement.direction {
                Direction::Up => Direction::Down,
                Direction::Down => Direction::Up,
            };
            return self.begin(direction, movement.extreme);
        }
        let waited = movement.windows >= shortest;
        if waited && (settled || movement.windows >= self.timing.settle_longest) {
            return self.settle(movement, mean);
        }
        None
    }

    fn settle(&mut self, movement: Movement, mean: f64) -> Option<JumpEvent> {
        self.state = State::Steady;
        let before = self.reference_before.mean;
        let fell_back = match movement.direction {
            Direction::Up => mean - before < GAIN * before.abs(),
            Direction::Down => before - mean < LOSS * before.abs(),
        };
        if fell_back && let Some(previous) = self.finished.pop() {
            let segment = self.finished.len() + 1;
            self.current = previous;
            self.reference = self.reference_before;
            self.cancelled += 1;
            return Some(JumpEvent::Cancelled { segment });
        }
        self.reference = Reference::default();
        self.peak = self.peak.max(mean);
        None
    }
}
