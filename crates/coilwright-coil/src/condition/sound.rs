use super::hypothesis::{Case, Hypothesis, Prediction, SoundCoil};
use super::judge::Condition;
use super::number::COUNT;
use super::state::State;

/// Nothing is wrong.
pub(super) struct Sound;

impl Hypothesis for Sound {
    fn condition(&self) -> Condition {
        Condition::Sound
    }

    fn prior(&self) -> f64 {
        0.50
    }

    fn predict(&self, _coil: &SoundCoil) -> Prediction {
        Prediction::Cases {
            cases: vec![Case {
                state: State::default(),
                weight: 1.0,
                size: 0.0,
            }],
            model: [0.0; COUNT],
        }
    }

    fn physics(&self) -> &'static str {
        "Every number agrees with the standard within what measurement and parts leave open."
    }

    fn confirm(&self) -> &'static str {
        "Bend and warm the coil gently while it is measured: a poor joint or a short that comes and goes shows only then."
    }
}
