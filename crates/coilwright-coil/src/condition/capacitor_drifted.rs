use super::hypothesis::{Case, Hypothesis, Prediction, SoundCoil, evenly, spaced};
use super::judge::Condition;
use super::state::State;
use crate::Estimate;

/// Least drift that counts as one, relative (common practice, no source).
const LEAST: f64 = 0.03;
/// Largest: the capacitor has lost half or has a second one beside it.
const MOST: f64 = 0.7;
/// What of Q the model leaves out: a capacitor that drifts may also be lossy.
const Q_SPREAD: f64 = 0.06;

/// The tuning capacitor no longer has its value.
pub(super) struct CapacitorDrifted;

impl Hypothesis for CapacitorDrifted {
    fn condition(&self) -> Condition {
        Condition::CapacitorDrifted
    }

    fn prior(&self) -> f64 {
        0.12
    }

    fn predict(&self, coil: &SoundCoil) -> Prediction {
        let mut cases = Vec::new();
        let least = SoundCoil::least(LEAST, coil.capacitance_spread).min(0.5 * MOST);
        for drift in spaced(least, MOST, 400) {
            for signed in [drift, -drift] {
                for resistance_power in [0.0, 0.5] {
                    cases.push(Case {
                        state: State {
                            capacitance: signed,
                            ring_resistance: -0.5 * resistance_power * signed,
                            ..State::default()
                        },
                        weight: 0.0,
                        size: signed.exp_m1(),
                    });
                }
            }
        }
        Prediction::Cases {
            cases: evenly(cases),
            model: [0.002, Q_SPREAD, 0.001, 0.03, 0.002, 0.0],
        }
    }

    fn physics(&self) -> &'static str {
        "The resonance follows 1/(2π√(LC)): with the winding as it was, a capacitance that changed by 2 % moves it by 1 %, and Q over resonance (2πL/R) \
         hardly changes."
    }

    fn confirm(&self) -> &'static str {
        "Measure the capacitor by itself, or the coil's inductance without it; or put a good capacitor in its place and see whether the resonance returns."
    }

    fn size_text(&self, size: Estimate, _coil: &SoundCoil) -> Option<String> {
        Some(format!(
            "about {:+.1} ± {:.1} % of capacitance",
            100.0 * size.value,
            100.0 * size.std_dev
        ))
    }
}
