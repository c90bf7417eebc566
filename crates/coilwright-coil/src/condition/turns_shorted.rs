use super::hypothesis::{Case, Hypothesis, Prediction, SoundCoil, evenly, spaced};
use super::judge::Condition;
use super::state::{State, WithLoop};
use crate::Estimate;

/// Smallest and largest part of the turns.
const PART: (f64, f64) = (0.004, 0.6);
/// `1/2Λ` with Λ = ln(8r/ρ) − 2 of a winding of radius r whose section has the geometric mean distance ρ. The lower end is for bridged turns that
/// spread over whole layers and so couple more closely than a smaller bundle would.
const SLIMNESS: (f64, f64) = (0.02, 0.4);
/// The bridge's resistance and the alternating-current loss make the loop's Q this many times that with the direct-current resistance alone.
const LOOP_LOSS: (f64, f64) = (0.4, 1.0);
/// Part of the direct-current resistance in the loss of the ring, where it is not known.
const DIRECT_PART: [f64; 3] = [0.9, 0.5, 0.25];

/// Some of the turns are bridged: they are a closed winding inside the coil.
pub(super) struct TurnsShorted;

impl Hypothesis for TurnsShorted {
    fn condition(&self) -> Condition {
        Condition::TurnsShorted
    }

    fn prior(&self) -> f64 {
        0.08
    }

    fn predict(&self, coil: &SoundCoil) -> Prediction {
        let direct: Vec<f64> = match coil.direct_q {
            Some(q) => vec![q],
            None => DIRECT_PART.iter().map(|part| coil.q / part).collect(),
        };
        let mut cases = Vec::new();
        for part in spaced(PART.0, PART.1, 160) {
            for slimness in spaced(SLIMNESS.0, SLIMNESS.1, 5) {
                for loss in spaced(LOOP_LOSS.0, LOOP_LOSS.1, 4) {
                    for direct_q in &direct {
                        cases.push(Case {
                            state: state(part, slimness, loss * direct_q, coil.q),
                            weight: 0.0,
                            size: part,
                        });
                    }
                }
            }
        }
        // The lumped loop at one frequency stands for a low-Q ring whose poles lie elsewhere.
        Prediction::Cases {
            cases: evenly(cases),
            model: [0.04, 0.15, 0.04, 0.15, 0.0, 0.01],
        }
    }

    fn physics(&self) -> &'static str {
        "Bridged turns are a closed winding inside the coil: the field drives a current in them that cancels part of the field. Inductance falls, the \
         resonance rises and Q collapses, 1 % of the turns being enough; direct-current resistance falls only by their part."
    }

    fn confirm(&self) -> &'static str {
        "Measure inductance and Q away from metal, and direct-current resistance within 1 % at a known temperature, both against a good coil: shorted turns \
         stay wherever the coil is, and lower the resistance by their part."
    }

    fn size_text(&self, size: Estimate, coil: &SoundCoil) -> Option<String> {
        let part = format!(
            "about {:.1} ± {:.1} % of the turns",
            100.0 * size.value,
            100.0 * size.std_dev
        );
        Some(match coil.turns {
            Some(turns) => format!(
                "{part}, {:.0} ± {:.0} of {turns:.0}",
                turns * size.value,
                turns * size.std_dev
            ),
            None => part,
        })
    }
}

/// A coil of which a part `s` of the turns is bridged.
///
/// A bundle of n turns close together has `L(n) = μ₀ n² r (ln(8r/ρ) − 2)` and its section, hence ρ², shrinks with n (the circular loop's
/// formula with the bundle's geometric mean distance). With `Λ` of the whole coil: `L_s = s² L (1 − ln s/2Λ)`, `L_r = (1−s)² L (1 − ln(1−s)/2Λ)`,
/// and `2M = L − L_r − L_s` because both in series are the coil. The loop's Q is `ωL_s/sR`.
fn state(part: f64, slimness: f64, direct_q: f64, q: f64) -> State {
    let portion = |s: f64| s * s * (1.0 - slimness * s.ln());
    let (bridged, rest) = (portion(part), portion(1.0 - part));
    let mutual = 0.5 * (1.0 - bridged - rest);
    let coil = WithLoop {
        rest,
        resistance: 1.0 - part,
        shared: mutual * mutual / bridged,
        loop_q: direct_q * bridged / part,
        q,
    };
    State {
        direct: (1.0 - part).ln(),
        ..coil.state()
    }
}
