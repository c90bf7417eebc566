use super::hypothesis::{DirectPath, Hypothesis, Prediction, SoundCoil};
use super::judge::Condition;

/// The winding or a joint is broken.
pub(super) struct Open;

impl Hypothesis for Open {
    fn condition(&self) -> Condition {
        Condition::Open
    }

    fn prior(&self) -> f64 {
        0.08
    }

    fn predict(&self, _coil: &SoundCoil) -> Prediction {
        Prediction::Loose(density)
    }

    fn direct_path(&self) -> DirectPath {
        DirectPath::Broken
    }

    fn circuit_gone(&self) -> bool {
        true
    }

    fn physics(&self) -> &'static str {
        "No current flows through a broken wire or joint, so nothing resonates at the working frequency; stray capacitance alone is left, and what rings \
         rings far higher."
    }

    fn confirm(&self) -> &'static str {
        "Disconnect the coil and put an ohmmeter across it: beyond its range is open. Flex the leads and the joints while watching. A capacitor in \
         series reads open too."
    }
}

/// A broken coil has no numbers of its own; a resonance, if any is seen, lies above 1.5 times the sound one.
fn density(index: usize, ratio: f64) -> f64 {
    const FAR: f64 = 0.2;
    const UNLIKELY: f64 = 1e-4;
    if index == 0 && ratio > 0.4 {
        FAR
    } else {
        UNLIKELY
    }
}
