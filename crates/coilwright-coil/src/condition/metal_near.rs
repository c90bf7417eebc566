use super::hypothesis::{Case, Hypothesis, Prediction, SoundCoil, between, evenly, scattered};
use super::judge::Condition;
use super::state::{RESISTANCE_POWER, State, WithLoop};
use crate::Estimate;

/// Squared coupling of a coil with metal on one side of it: Dodd and Deeds' half-space (`half_space_change`) takes 0.33 to 0.44 at a gap of a
/// twentieth of the radius, whatever the metal.
const BESIDE: (f64, f64) = (0.006, 0.45);
/// With metal around it, and how many coils out of all near metal are so enclosed (common practice, no source).
const AROUND: (f64, f64) = (BESIDE.1, 0.7);
const ENCLOSED: f64 = 0.05;
/// Q of the eddy currents' path at 125 kHz: 4 (austenitic steel, coil of 8 mm) to 120 (copper, 22 mm) for the same half-space, less for sheet.
const LOOP_Q: (f64, f64) = (3.0, 120.0);
/// Iron gathers flux and adds loss: largest rise of the inductance (no model found; wide on purpose).
const IRON_RISE: f64 = 0.3;
/// Resistance that it adds, over the reactance that it adds.
const IRON_LOSS: (f64, f64) = (0.02, 1.0);
/// Cases that are weighed, and a quarter as many for iron.
const CASES: usize = 16_000;

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
        let least = SoundCoil::least(BESIDE.0, coil.inductance_spread).min(0.3);
        for [coupling, q] in scattered(CASES) {
            let beside = WithLoop {
                rest: 1.0,
                resistance: 1.0,
                shared: if coupling < ENCLOSED {
                    between(AROUND, coupling / ENCLOSED)
                } else {
                    between((least, BESIDE.1), (coupling - ENCLOSED) / (1.0 - ENCLOSED))
                },
                loop_q: between(LOOP_Q, q),
                q: coil.q,
                power: RESISTANCE_POWER,
            };
            let state = beside.state();
            cases.push(case(state, state.inductance.exp_m1()));
        }
        // A quarter as many cases for iron.
        for [rise, loss] in scattered(CASES / 4) {
            let rise = between((least.min(0.15), IRON_RISE), rise);
            let loss = between(IRON_LOSS, loss);
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
