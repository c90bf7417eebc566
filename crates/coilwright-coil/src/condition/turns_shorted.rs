use super::hypothesis::{Case, Hypothesis, Prediction, SoundCoil, between, evenly, scattered};
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
const DIRECT_PART: (f64, f64) = (0.2, 0.95);
/// Most that the resistance left in the circuit grows with frequency, `R ∝ f^p`: a driver's does not, proximity loss does with p = 2, and the ring
/// may come to lie several times higher.
const MOST_POWER: f64 = 2.0;
/// Cases that are weighed.
const CASES: usize = 16_000;

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
        let cases = scattered(CASES).map(|[part, slimness, loss, direct, power]| {
            let direct_q = coil
                .direct_q
                .unwrap_or_else(|| coil.q / between(DIRECT_PART, direct));
            let bridged = Bridged {
                part: between(PART, part),
                slimness: between(SLIMNESS, slimness),
                direct_q: between(LOOP_LOSS, loss) * direct_q,
                q: coil.q,
                power: MOST_POWER * power,
            };
            Case {
                state: bridged.state(),
                weight: 0.0,
                size: bridged.part,
            }
        });
        // The lumped loop at one frequency stands for a low-Q ring whose poles lie elsewhere.
        Prediction::Cases {
            cases: evenly(cases.collect()),
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

/// A coil of which a part of the turns is bridged.
struct Bridged {
    part: f64,
    slimness: f64,
    /// `ωL/R` of the whole winding with the loop's kind of resistance.
    direct_q: f64,
    q: f64,
    power: f64,
}

impl Bridged {
    /// A bundle of n turns close together has `L(n) = μ₀ n² r (ln(8r/ρ) − 2)` and its section, hence ρ², shrinks with n (the circular loop's
    /// formula with the bundle's geometric mean distance). With `Λ` of the whole coil and s the part: `L_s = s² L (1 − ln s/2Λ)`,
    /// `L_r = (1−s)² L (1 − ln(1−s)/2Λ)`, and `2M = L − L_r − L_s` because both in series are the coil. The loop's Q is `ωL_s/sR`.
    fn state(&self) -> State {
        let part = self.part;
        let portion = |s: f64| s * s * (1.0 - self.slimness * s.ln());
        let (bridged, rest) = (portion(part), portion(1.0 - part));
        let mutual = 0.5 * (1.0 - bridged - rest);
        let coil = WithLoop {
            rest,
            resistance: 1.0 - part,
            shared: mutual * mutual / bridged,
            loop_q: self.direct_q * bridged / part,
            q: self.q,
            power: self.power,
        };
        State {
            direct: (1.0 - part).ln(),
            ..coil.state()
        }
    }
}
