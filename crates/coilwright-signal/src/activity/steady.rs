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
/// Standard errors of the mean of three windows; Rayleigh tails need this many for one false alarm in 10⁹ windows.
const STANDARD_ERRORS: f64 = 8.0;
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
        let gain = self.gain;
        let deviation = level - self.mean;
        self.mean += gain * deviation;
        self.variance += gain * ((1.0 - gain) * deviation * deviation - self.variance);
    }
}

/// What the state machine knows while the level is steady.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Steady {
    /// The latest three levels, which are held against the reference.
    pub(super) recent: [f64; 3],
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
    pub(super) fn step(&mut self, level: f32) -> Option<Direction> {
        let leaving = self.shift(level);
        self.reference.add(leaving);
        self.segment.add(leaving);
        self.peak = self.peak.max(self.reference.mean);
        let deviation = self.recent_mean() - self.reference.mean;
        let relative = if deviation > 0.0 { GAIN } else { LOSS };
        let limit = (relative * self.reference.mean.abs()).max(PEAK_PART * self.peak);
        let variance_limit = STANDARD_ERRORS * STANDARD_ERRORS / 3.0 * self.reference.variance;
        let jumped = deviation.abs() > limit
            && deviation * deviation > variance_limit
            && self.reference.windows >= FEWEST_WINDOWS;
        match jumped {
            false => None,
            true if deviation > 0.0 => Some(Direction::Up),
            true => Some(Direction::Down),
        }
    }

    /// Takes a level in and gives the one that it drives out; a level that is no number is taken as unchanged.
    #[inline]
    pub(super) fn shift(&mut self, level: f32) -> f64 {
        let [leaving, middle, latest] = self.recent;
        let level = if level.is_finite() {
            f64::from(level)
        } else {
            latest
        };
        self.recent = [middle, latest, level];
        leaving
    }

    pub(super) const fn recent_mean(&self) -> f64 {
        (self.recent[0] + self.recent[1] + self.recent[2]) / 3.0
    }
}
