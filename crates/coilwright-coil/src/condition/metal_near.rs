use super::hypothesis::{Case, Hypothesis, Prediction, SoundCoil, evenly, spaced};
use super::judge::Condition;
use super::state::{RESISTANCE_POWER, State, WithLoop};
use crate::Estimate;

/// Squared coupling of a coil with metal beside or around it (model: a closed loop; common practice for the ends, no source).
const COUPLING_SQUARED: (f64, f64) = (0.006, 0.7);
/// Q of the eddy currents' path at 125 kHz: thin sheet and steel to thick copper.
const LOOP_Q: (f64, f64) = (2.0, 80.0);
/// Iron gathers flux and adds loss: largest rise of the inductance (no model found; wide on purpose).
const IRON_RISE: f64 = 0.3;

/// Metal near the coil.
pub(super) struct MetalNear;

impl Hypothesis for MetalNear {
    fn condition(&self) -> Condition {
        Condition::MetalNear
    }

    fn prior(&self) -> f64 {
        0.12
    }

    fn predict(&self, coil: &SoundCoil) -> Prediction {
        let mut cases = Vec::new();
        let case = |state: State, size: f64| Case {
            state,
            weight: 0.0,
            size,
        };
        let least = SoundCoil::least(COUPLING_SQUARED.0, coil.inductance_spread).min(0.3);
        for coupling in spaced(least, COUPLING_SQUARED.1, 240) {
            for q in spaced(LOOP_Q.0, LOOP_Q.1, 24) {
                let beside = WithLoop {
                    rest: 1.0,
                    resistance: 1.0,
                    shared: coupling,
                    loop_q: q,
                    q: coil.q,
                };
                let state = beside.state();
                cases.push(case(state, state.inductance.exp_m1()));
            }
        }
        // A quarter as many cases for iron.
        for rise in spaced(least.min(0.15), IRON_RISE, 160) {
            for loss in spaced(0.02, 1.0, 9) {
                let (inductance, resistance) = (rise.ln_1p(), (loss * rise * coil.q).ln_1p());
                let state = State {
                    inductance,
                    resistance,
                    ring_inductance: inductance,
                    ring_resistance: resistance - 0.5 * RESISTANCE_POWER * inductance,
                    ..State::default()
                };
                cases.push(case(state, rise));
            }
        }
        Prediction::Cases {
            cases: evenly(cases),
            model: [0.003, 0.08, 0.003, 0.08, 0.0, 0.0],
        }
    }

    fn physics(&self) -> &'static str {
        "Eddy currents in metal act against the coil's field: inductance falls, the resonance rises and Q falls with it; Q over resonance falls by at least \
         twice the rise. Iron may raise the inductance instead, with loss. Direct current sees nothing of it."
    }

    fn confirm(&self) -> &'static str {
        "Measure the coil again well away from metal (a hand's breadth on wood): what was metal goes, what is in the coil stays."
    }

    fn size_text(&self, size: Estimate, _coil: &SoundCoil) -> Option<String> {
        Some(format!(
            "inductance changed by about {:+.1} ± {:.1} %",
            100.0 * size.value,
            100.0 * size.std_dev
        ))
    }
}
