use super::jumps::Direction;

/// A stretch of steady level and the change that it began with.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Segment {
    /// First sample of the change; set once it was found.
    pub(super) start: u64,
    /// Whether `start` was found on the raw samples.
    pub(super) refined: bool,
    pub(super) direction: Option<Direction>,
    windows: u64,
    sum: f64,
    difference_square_sum: f64,
    last: f64,
    /// Level at which it turned, where it never settled.
    pub(super) extreme: f64,
    entry_sum: f64,
    /// Level just before the next change, once that came.
    pub(super) exit: Option<f64>,
}

/// Windows over which the level is taken just after it settled.
const ENTRY_WINDOWS: u64 = 16;

impl Segment {
    /// A stretch that begins with a change in this direction.
    pub(super) fn after(direction: Direction) -> Self {
        Self {
            direction: Some(direction),
            ..Self::default()
        }
    }

    /// The stretch without its levels, because they still belonged to the change.
    pub(super) fn begun_again(&self) -> Self {
        Self {
            start: self.start,
            refined: self.refined,
            direction: self.direction,
            ..Self::default()
        }
    }

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

    /// Whether [`Self::add_later`] may be used.
    pub(super) const fn has_entered(&self) -> bool {
        self.windows >= ENTRY_WINDOWS
    }

    pub(super) fn add(&mut self, level: f64) {
        if self.windows == 0 {
            self.last = level;
        }
        if !self.has_entered() {
            self.entry_sum += level;
        }
        self.add_later(level);
    }

    /// Adds a level after those that count as just after the change.
    #[inline]
    pub(super) fn add_later(&mut self, level: f64) {
        self.difference_square_sum += (level - self.last).powi(2);
        self.windows += 1;
        self.sum += level;
        self.last = level;
    }
}
