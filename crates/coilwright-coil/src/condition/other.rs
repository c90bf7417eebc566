use super::hypothesis::{Case, Hypothesis, Prediction, SoundCoil, between, evenly, scattered};
use super::judge::Condition;
use super::state::State;

/// None of the conditions that are named: a joint with resistance, another coil, several faults at once, a wrong measurement.
pub(super) struct Other;

impl Hypothesis for Other {
    fn condition(&self) -> Condition {
        Condition::CannotTell
    }

    fn prior(&self) -> f64 {
        0.06
    }

    fn predict(&self, coil: &SoundCoil) -> Prediction {
        Prediction::Either(Box::new([poor_joint(coil), Prediction::Loose(anything)]))
    }

    fn physics(&self) -> &'static str {
        "No single fault that is named makes these numbers: a joint with resistance, which lowers Q and leaves the resonance; another kind of coil, two \
         faults at once, or a measurement that went wrong."
    }

    fn confirm(&self) -> &'static str {
        "Read the direct-current resistance while flexing the leads, measure again in another way (ring-down, impedance, ohmmeter), and make sure that the \
         standard is of the same coil."
    }
}

/// Resistance of a poor joint, over that of the sound ring: what is less is within its tolerance.
const JOINT: (f64, f64) = (0.2, 10.0);
/// Cases that are weighed.
const CASES: usize = 500;

/// Resistance is added in series and nothing else changes.
fn poor_joint(coil: &SoundCoil) -> Prediction {
    let direct_part = coil
        .direct_q
        .map_or(0.5, |direct| coil.q / direct)
        .clamp(0.1, 1.0);
    let cases = scattered(CASES).map(|[place]| {
        let added = between(JOINT, place);
        Case {
            state: State {
                resistance: added.ln_1p(),
                ring_resistance: added.ln_1p(),
                direct: (added / direct_part).ln_1p(),
                ..State::default()
            },
            weight: 0.0,
            size: 0.0,
        }
    });
    Prediction::Cases {
        cases: evenly(cases.collect()),
        model: [0.002, 0.05, 0.002, 0.05, 0.0, 0.05],
    }
}

/// Logarithm of the largest ratio that other coils have: 30.
const REACH: f64 = 3.4;

fn anything(_number: usize, ratio: f64) -> f64 {
    if ratio.abs() < REACH {
        0.5 / REACH
    } else {
        1e-4
    }
}
