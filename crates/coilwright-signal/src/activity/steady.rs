use super::jumps::Direction;
use super::segment::Segment;

/// Windows that the reference remembers: 4 ms at 125 kHz, so that slow changes of level are followed.
const MEMORY_WINDOWS: f64 = 256.0;
/// A reference of fewer windows is not yet held against anything.
const FEWEST_WINDOWS: f64 = 6.0;
/// A loss of this part of the level is a change; load modulation reaches 17 % peak to peak.
pub(super) const LOSS: f64 = 0.30;
/// The rise that undoes such a loss.
pub(super) const GAIN: f64 = 1.0 / (1.0 - LOSS) - 1.0;
/// Standard errors of the mean of three windows for a rise; Rayleigh tails need this many for one false alarm in 10⁹
/// windows.
const RISE_ERRORS: f64 = 8.0;
/// The same for a fall: noise alone never falls so far, and a carrier beside noise has Gaussian tails.
const FALL_ERRORS: f64 = 5.5;
/// Changes smaller than this part of the highest level are below everything of interest.
const PEAK_PART: f64 = 0.02;

/// Running mean and variance of the level that new windows are held against.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Reference {
    windows: f64,
    gain: f64,
    pub(super) mean: f64,
    variance: f64,
}

impl Reference {
    /// A reference that starts from a few levels; their scatter may by chance be far too small.
    pub(super) fn of(levels: &[f64]) -> Self {
        let windows = levels.len().max(1) as f64;
        let mean = levels.iter().sum::<f64>() / windows;
        let variance = levels
            .iter()
            .map(|level| (level - mean).powi(2))
            .sum::<f64>()
            / windows;
        Self {
            windows,
            gain: 1.0 / windows,
            mean,
            variance: START_VARIANCE * variance,
        }
    }

    /// The reference with another mean.
    pub(super) const fn at(mut self, mean: f64) -> Self {
        self.mean = mean;
        self
    }

    fn add(&mut self, level: f64) {
        if self.windows < MEMORY_WINDOWS {
            self.windows += 1.0;
            self.gain = 1.0 / self.windows;
        }
        self.add_remembered(level);
    }

    /// Takes a level in with the gain as it is.
    #[inline]
    fn add_remembered(&mut self, level: f64) {
        // Each of the two waits for itself through one product and one sum only.
        let (gain, kept) = (self.gain, 1.0 - self.gain);
        let deviation = level - self.mean;
        self.mean = kept * self.mean + gain * level;
        self.variance = kept * self.variance + gain * kept * deviation * deviation;
    }
}

/// The variance of six levels is below a third of the true one in 1 of 10 cases; few windows have to live with that.
const START_VARIANCE: f64 = 3.0;

/// A change of level that was noticed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Noticed {
    pub(super) direction: Direction,
    /// How many windows ago it began, at a guess.
    pub(super) windows_ago: u64,
}

/// Gain of the slow mean, and the variance of that mean over the variance of one window: `g / (2 - g)`.
const SLOW_GAIN: f64 = 0.125;
const SLOW_VARIANCE: f64 = SLOW_GAIN / (2.0 - SLOW_GAIN);
const SLOW_FEWEST_WINDOWS: f64 = 24.0;
const SLOW_WINDOWS_AGO: u64 = 12;

/// Levels that are looked at together: in most captures almost all of them hold no change.
pub(super) const CALM_LEVELS: usize = 32;
/// As long as every level keeps within this part of the reference, so does the reference, and nothing that is made of them
/// can be twice as far from it: less than any change (0.2 < 0.9 × 0.3).
const CALM_PART: f64 = 0.1;

/// What the state machine knows while the level is steady.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Steady {
    /// The latest three levels, which are held against the reference.
    pub(super) recent: [f64; 3],
    /// Mean of about the latest fifteen levels, for changes that drown in the scatter of three.
    slow_mean: f64,
    pub(super) reference: Reference,
    /// Highest level that any reference has reached.
    pub(super) peak: f64,
    pub(super) segment: Segment,
}

impl Steady {
    /// Takes the next level: the oldest of the recent ones joins the reference, and the others are held against it.
    #[expect(
        clippy::inline_always,
        reason = "the state must stay in registers from window to window"
    )]
    #[inline(always)]
    pub(super) fn step(&mut self, level: f32) -> Option<Noticed> {
        let leaving = self.shift(level);
        self.reference.add(leaving);
        self.segment.add(leaving);
        self.peak = self.peak.max(self.reference.mean);
        let sudden = self.recent_mean() - self.reference.mean;
        let slow = self.slow_mean - self.reference.mean;
        // All but a few windows end here.
        if sudden.abs().max(slow.abs()) <= self.least_change() {
            return None;
        }
        let fall_errors = if sudden > 0.0 {
            RISE_ERRORS
        } else {
            FALL_ERRORS
        };
        let is_sudden = self.is_change(sudden, fall_errors * fall_errors / 3.0)
            && self.reference.windows >= FEWEST_WINDOWS;
        let is_slow = self.is_change(slow, RISE_ERRORS * RISE_ERRORS * SLOW_VARIANCE)
            && self.reference.windows >= SLOW_FEWEST_WINDOWS;
        let (deviation, windows_ago) = match (is_sudden, is_slow) {
            (true, _) => (sudden, 3),
            (_, true) => (slow, SLOW_WINDOWS_AGO),
            _ => return None,
        };
        let direction = if deviation > 0.0 {
            Direction::Up
        } else {
            Direction::Down
        };
        Some(Noticed {
            direction,
            windows_ago,
        })
    }

    /// Takes levels that cannot hold a change the same as [`Self::step`] would; says whether they were of that kind.
    pub(super) fn pass_over(&mut self, levels: &[f32; CALM_LEVELS]) -> bool {
        let reference = self.reference;
        let within = CALM_PART * reference.mean.abs();
        let is_near = |level: f64| (level - reference.mean).abs() <= within;
        let known = [
            self.recent[0],
            self.recent[1],
            self.recent[2],
            self.slow_mean,
        ];
        // Widened to `f64` the bounds may lie within; a level between the two is left to `step`.
        let (low, high) = (
            (reference.mean - within) as f32,
            (reference.mean + within) as f32,
        );
        let is_calm = reference.windows >= MEMORY_WINDOWS
            && self.segment.has_entered()
            && known.into_iter().all(is_near)
            && levels
                .iter()
                .filter(|&&level| low < level && level < high)
                .count()
                == CALM_LEVELS;
        if is_calm {
            for &level in levels {
                let leaving = self.shift_finite(f64::from(level));
                self.reference.add_remembered(leaving);
                self.segment.add_later(leaving);
                self.peak = self.peak.max(self.reference.mean);
            }
        }
        is_calm
    }

    /// No smaller deviation from the reference is a change; a rise must be larger still.
    #[inline]
    fn least_change(&self) -> f64 {
        (LOSS.min(GAIN) * self.reference.mean.abs()).max(PEAK_PART * self.peak)
    }

    /// Whether a deviation from the reference is large, and larger than this many of its variances.
    #[inline]
    fn is_change(&self, deviation: f64, variances: f64) -> bool {
        let relative = if deviation > 0.0 { GAIN } else { LOSS };
        let limit = (relative * self.reference.mean.abs()).max(PEAK_PART * self.peak);
        deviation.abs() > limit && deviation * deviation > variances * self.reference.variance
    }

    /// Starts anew from the level that was just reached.
    pub(super) fn restart(&mut self, reference: Reference) {
        self.reference = reference;
        self.slow_mean = self.recent_mean();
    }

    /// Takes a level in and gives the one that it drives out; a level that is no number is taken as unchanged.
    #[inline]
    pub(super) fn shift(&mut self, level: f32) -> f64 {
        let level = if level.is_finite() {
            f64::from(level)
        } else {
            self.recent[2]
        };
        self.shift_finite(level)
    }

    #[inline]
    fn shift_finite(&mut self, level: f64) -> f64 {
        let [leaving, middle, latest] = self.recent;
        self.recent = [middle, latest, level];
        self.slow_mean = (1.0 - SLOW_GAIN) * self.slow_mean + SLOW_GAIN * level;
        leaving
    }

    pub(super) const fn recent_mean(&self) -> f64 {
        (self.recent[0] + self.recent[1] + self.recent[2]) / 3.0
    }
}
