use super::TransferPoint;
use num_complex::Complex64;

/// Powers and products of the spectra over neighbouring lines, with the moments of the distance from a frequency in the band's middle.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sums {
    pub(super) stimulus: f64,
    /// Of the stimulus' power, by distance and by its square.
    first: f64,
    second: f64,
    pickup: f64,
    cross: Complex64,
    /// Of the cross power, by distance.
    cross_first: Complex64,
    pub(super) lines: f64,
    /// Power and distance of the strongest line.
    strongest: (f64, f64),
}

/// Part of the power in one line from which on it is a tone on that line, with no more than its window's side lines beside it: these carry
/// the tone's response and must not move its frequency. With a tenth tapered at each end such a line has 93 %.
const TONE: f64 = 0.9;

impl Sums {
    pub(super) fn add(&mut self, distance_hz: f64, (x, y): (Complex64, Complex64)) {
        let (power, cross) = (x.norm_sqr(), x.conj() * y);
        self.stimulus += power;
        self.first += distance_hz * power;
        self.second += distance_hz * distance_hz * power;
        self.pickup += y.norm_sqr();
        self.cross += cross;
        self.cross_first += distance_hz * cross;
        self.lines += 1.0;
        if power > self.strongest.0 {
            self.strongest = (power, distance_hz);
        }
    }

    pub(super) fn merge(&mut self, other: &Self) {
        self.stimulus += other.stimulus;
        self.first += other.first;
        self.second += other.second;
        self.pickup += other.pickup;
        self.cross += other.cross;
        self.cross_first += other.cross_first;
        self.lines += other.lines;
        if other.strongest.0 > self.strongest.0 {
            self.strongest = other.strongest;
        }
    }

    /// Power of the stimulus in a line.
    pub(super) fn density(&self) -> f64 {
        self.stimulus / self.lines.max(1.0)
    }

    /// Whether there is a response to speak of.
    pub(super) fn heard(&self) -> bool {
        self.stimulus > 0.0 && self.pickup > 0.0
    }

    /// What remains of the pickup's power beyond a response that is straight over the lines, and the lines left to judge it by.
    ///
    /// About the mean frequency of the power the level and the slope of the response are orthogonal: `S_xy/S_xx` is not moved by
    /// the slope.
    pub(super) fn noise(&self) -> (f64, f64) {
        let flat = self.pickup - self.cross.norm_sqr() / self.stimulus;
        let spread = self.second - self.first * self.first / self.stimulus;
        let along = self.cross_first - self.cross * (self.first / self.stimulus);
        let sloped = if spread > 0.0 {
            flat - along.norm_sqr() / spread
        } else {
            flat
        };
        // Rounding of 32-bit samples leaves no less.
        let least = 1e-12 * self.pickup;
        (sloped.max(least), (self.lines - 2.0).max(1.0))
    }

    /// The point, with the noise's power in a line.
    pub(super) fn point(&self, middle_hz: f64, noise: f64) -> TransferPoint {
        let (mean_hz, spread_hz) = if self.strongest.0 > TONE * self.stimulus {
            (self.strongest.1, 0.0)
        } else {
            let mean_hz = self.first / self.stimulus;
            let square = self.second / self.stimulus - mean_hz * mean_hz;
            (mean_hz, square.max(0.0).sqrt())
        };
        TransferPoint {
            frequency_hz: middle_hz + mean_hz,
            spread_hz,
            response: self.cross / self.stimulus,
            coherence: (self.cross.norm_sqr() / (self.stimulus * self.pickup)).min(1.0),
            std_dev: (0.5 * noise / self.stimulus).sqrt(),
        }
    }
}
