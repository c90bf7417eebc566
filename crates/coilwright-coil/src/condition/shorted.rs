use super::hypothesis::{DirectPath, Hypothesis, Prediction, SoundCoil};
use super::judge::Condition;
use super::open::capacitor_alone;
use crate::OhmmeterEvidence;

/// A bridge leaves less than this part of inductance and resistances, and more is left of a winding with a part of its turns bridged: an ohmmeter
/// that resolves the bridge's own resistance, tenths of an ohm of contacts and leads, still has found a bridge.
const LEAST_LEFT: f64 = 0.2;

/// The terminals or the leads are bridged.
pub(super) struct Shorted;

impl Hypothesis for Shorted {
    fn condition(&self) -> Condition {
        Condition::Shorted
    }

    fn prior(&self) -> f64 {
        0.06
    }

    fn predict(&self, _coil: &SoundCoil) -> Prediction {
        Prediction::Loose(density)
    }

    fn direct_path(&self) -> DirectPath {
        DirectPath::Bridged
    }

    /// The capacitor rings with the leads; a fast recorder, or a slow one by folding, may see that (a guess, no source).
    fn seen_ringing(&self) -> f64 {
        0.3
    }

    fn physics(&self) -> &'static str {
        "Current takes the bridge across the terminals instead of the winding: of inductance and resistance only those of the leads are left, and nothing \
         resonates at the working frequency."
    }

    fn confirm(&self) -> &'static str {
        "Disconnect the coil, put the ohmmeter's tips together, then across the coil: the same reading is a short. Part plug, leads and coil to find where."
    }
}

/// What a reading says of the path across the terminals of a winding whose resistance is known: far less than that is no winding.
pub(super) fn path(reading: OhmmeterEvidence, expected_ohm: Option<f64>) -> OhmmeterEvidence {
    match (reading, expected_ohm) {
        (
            OhmmeterEvidence::Winding {
                at_20_celsius_ohm, ..
            },
            Some(expected),
        ) if at_20_celsius_ohm.value < LEAST_LEFT * expected => OhmmeterEvidence::Shorted {
            resistance_ohm: at_20_celsius_ohm,
        },
        _ => reading,
    }
}

/// Inductance and both resistances fall below a fifth; of a whole ring the resistance of all that is not the coil is left, at most what it was. The
/// capacitor and the leads ring far above the sound coil, but a recorder that samples slower than that shows the ring anywhere in its band, with any Q.
fn density(index: usize, ratio: f64) -> f64 {
    const LIKELY: f64 = 0.2;
    const FOLDED: f64 = 0.05;
    const REST: f64 = 0.1;
    const UNCHANGED: f64 = 0.1;
    const UNLIKELY: f64 = 1e-4;
    let (fits, otherwise) = match index {
        4 => return capacitor_alone(ratio),
        0 => (ratio > 0.7, FOLDED),
        1 => (ratio < -1.0, FOLDED),
        3 if ratio < UNCHANGED && ratio >= LEAST_LEFT.ln() => return REST,
        2 | 3 | 5 => (ratio < LEAST_LEFT.ln(), UNLIKELY),
        _ => (false, UNLIKELY),
    };
    if fits { LIKELY } else { otherwise }
}
