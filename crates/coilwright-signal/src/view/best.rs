use std::cmp::Ordering;

use super::{Heard, Views};
use crate::demodulate::Listening;

/// The stretch of a capture that was read best, with its views; only this one is kept.
#[derive(Clone, Debug, Default)]
pub struct BestStretch {
    best: Option<(Clarity, Listening, Views)>,
}

/// How well a stretch was read: with a frame, with a key, not at all; then by the energy of its bits.
#[derive(Clone, Copy, Debug)]
struct Clarity {
    stage: u8,
    strength: f64,
}

impl Clarity {
    fn of(listening: &Listening) -> Self {
        let has_frame = listening.keys.iter().any(|read| !read.frames.is_empty());
        let energy = listening.keys.iter().map(|read| read.eb_n0_db);
        let strength = energy.fold(f64::NEG_INFINITY, f64::max);
        Self {
            stage: u8::from(has_frame) + u8::from(!listening.keys.is_empty()),
            strength,
        }
    }

    fn is_above(self, other: Self) -> bool {
        let strength = || self.strength.total_cmp(&other.strength);
        self.stage.cmp(&other.stage).then_with(strength) == Ordering::Greater
    }
}

impl BestStretch {
    /// Looks at the next stretch and returns whether it was read better than all before; the first one always is.
    pub fn hear(&mut self, heard: &Heard<'_>) -> bool {
        let clarity = Clarity::of(heard.listening);
        let better = self
            .best
            .as_ref()
            .is_none_or(|(best, ..)| clarity.is_above(*best));
        if better {
            let listening = Listening {
                baseband: None,
                plane: None,
                ..heard.listening.clone()
            };
            self.best = Some((clarity, listening, heard.views()));
        }
        better
    }

    /// Forgets every stretch.
    pub fn restart(&mut self) {
        self.best = None;
    }

    /// What was heard in the best stretch, without its baseband and plane, and its views.
    #[must_use]
    pub fn get(&self) -> Option<(&Listening, &Views)> {
        self.best
            .as_ref()
            .map(|(_, listening, views)| (listening, views))
    }
}
