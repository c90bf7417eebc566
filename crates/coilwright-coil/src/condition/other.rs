use super::hypothesis::{Hypothesis, Prediction, SoundCoil};
use super::judge::Condition;

/// None of the conditions that are modelled: another coil, several faults at once, a wrong measurement.
pub(super) struct Other;

impl Hypothesis for Other {
    fn condition(&self) -> Condition {
        Condition::CannotTell
    }

    fn prior(&self) -> f64 {
        0.04
    }

    fn predict(&self, _coil: &SoundCoil) -> Prediction {
        Prediction::Loose(|_, ratio| {
            if ratio.abs() < REACH {
                0.5 / REACH
            } else {
                1e-4
            }
        })
    }

    fn physics(&self) -> &'static str {
        "No single fault that is modelled makes these numbers: another kind of coil, two faults at once, or a measurement that went wrong."
    }

    fn confirm(&self) -> &'static str {
        "Measure again in another way (ring-down, impedance, ohmmeter), and make sure that the standard is of the same coil."
    }
}

/// Logarithm of the largest ratio that such coils have: 30.
const REACH: f64 = 3.4;
