use super::points::{band, require_within};
use crate::FitError;
use crate::least_squares::Solution;
use crate::model::significance::f_exceeds;

/// A resonance is taken for real if noise would explain as much with less than this probability, over all trials.
const REAL_LEVEL: f64 = 1e-4;

/// Refuses a resonance that noise explains, or one outside the band.
///
/// F test of the `added` parameters of the resonance against the background alone, which leaves the squares `without`; the
/// `tried` trials of the grid count.
pub(crate) fn require_real(
    frequencies_hz: &[f64],
    solution: &Solution,
    without: f64,
    added: f64,
    tried: usize,
) -> Result<(), FitError> {
    let gained = (without - solution.squares).max(0.0);
    let noise = (solution.squares / solution.degrees).max(f64::MIN_POSITIVE);
    let chance = f_exceeds(gained / added / noise, added, solution.degrees) * tried as f64;
    if chance > REAL_LEVEL {
        let (low_hz, high_hz) = band(frequencies_hz);
        return Err(FitError::NoResonance {
            low_hz,
            high_hz,
            chance: chance.min(1.0),
        });
    }
    require_within(frequencies_hz, solution.parameters[0].exp())
}
