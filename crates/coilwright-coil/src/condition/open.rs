use super::hypothesis::{DirectPath, Hypothesis, Prediction, SoundCoil};
use super::judge::Condition;
use super::likelihood::MISTAKE;

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

    fn seen_ringing(&self) -> f64 {
        MISTAKE
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

/// A broken coil has no numbers of its own; a resonance, if any is seen, lies above 1.5 times the sound one. A capacitor that is measured by itself
/// is as it was.
fn density(index: usize, ratio: f64) -> f64 {
    const FAR: f64 = 0.2;
    const UNLIKELY: f64 = 1e-4;
    match index {
        0 if ratio > 0.4 => FAR,
        4 => capacitor_alone(ratio),
        _ => UNLIKELY,
    }
}

/// Density of the logarithm of a capacitor's ratio to its value, where the fault is elsewhere: even within 10 %.
pub(super) fn capacitor_alone(ratio: f64) -> f64 {
    const REACH: f64 = 0.1;
    if ratio.abs() < REACH {
        0.5 / REACH
    } else {
        1e-4
    }
}
