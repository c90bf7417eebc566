use coilwright_signal::code::PhaseChange;

use super::OwnTones;
use crate::SimulateError;
use crate::error::require;

/// Far below half a period of any subcarrier, far above rounding within a capture, in carrier cycles.
const SAME_CLOCK: f64 = 1e-6;

/// How a subcarrier goes on when its frequency changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Divider {
    /// It starts anew with each level of the code.
    Restarts,
    /// It goes on from the phase that it had.
    GoesOn,
}

/// How the levels of the line code reach the field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Keying {
    /// The load is switched by the levels.
    Load,
    /// The load is switched at a subcarrier whose frequency is the level.
    Frequency {
        /// Carrier cycles in a period of the subcarrier at level 1.
        one_clocks: u32,
        /// Carrier cycles in a period of the subcarrier at level 0.
        zero_clocks: u32,
        /// How the subcarrier goes on.
        divider: Divider,
    },
    /// The load is switched at a subcarrier that runs through and turns its phase.
    Phase {
        /// Carrier cycles in a period of the subcarrier.
        clocks: u32,
        /// When the phase turns.
        change: PhaseChange,
    },
    /// The key drives its own coil after the field went off, once a pause.
    OwnTones(OwnTones),
}

impl Keying {
    /// Checks the values.
    ///
    /// # Errors
    /// [`SimulateError::InvalidValue`] for the first value that makes no sense.
    pub fn validate(&self) -> Result<(), SimulateError> {
        let subcarrier = |clocks: u32| {
            require(
                clocks >= 2,
                "keys.subcarrier_clocks",
                f64::from(clocks),
                "2 or more carrier cycles in a period of the subcarrier",
            )
        };
        match self {
            Self::Load => Ok(()),
            Self::Frequency {
                one_clocks,
                zero_clocks,
                ..
            } => subcarrier(*one_clocks).and_then(|()| subcarrier(*zero_clocks)),
            Self::Phase { clocks, .. } => subcarrier(*clocks),
            Self::OwnTones(tones) => tones.validate(),
        }
    }

    /// Returns the identifier: `ask`, `fsk`, `psk` or `half_duplex`.
    #[must_use]
    pub const fn identifier(&self) -> &'static str {
        match self {
            Self::Load => "ask",
            Self::Frequency { .. } => "fsk",
            Self::Phase { .. } => "psk",
            Self::OwnTones(_) => "half_duplex",
        }
    }

    /// Returns the carrier cycles in a period of each subcarrier, that of level 1 first; none without a subcarrier.
    #[must_use]
    pub fn clocks(&self) -> Vec<u32> {
        match *self {
            Self::Frequency {
                one_clocks,
                zero_clocks,
                ..
            } => vec![one_clocks, zero_clocks],
            Self::Phase { clocks, .. } => vec![clocks],
            Self::Load | Self::OwnTones(_) => Vec::new(),
        }
    }

    /// Returns when the load changes, in carrier cycles from the first level, and what it becomes; the load may already
    /// be so.
    pub(super) fn loads(&self, levels: &[u8], level_clocks: f64) -> Vec<(f64, u8)> {
        match *self {
            Self::Load => (0..)
                .map(|index| f64::from(index) * level_clocks)
                .zip(levels.iter().copied())
                .collect(),
            Self::Frequency {
                one_clocks,
                zero_clocks,
                divider,
            } => {
                let mut phase = 0.0;
                let mut loads = Vec::new();
                for (start, &level) in (0..).map(|k| f64::from(k) * level_clocks).zip(levels) {
                    let clocks = f64::from(if level == 0 { zero_clocks } else { one_clocks });
                    square(&mut loads, (start, level_clocks), clocks, phase);
                    if divider == Divider::GoesOn {
                        phase = (phase + level_clocks / clocks).fract();
                    }
                }
                loads
            }
            Self::Phase { clocks, change } => {
                let clocks = f64::from(clocks);
                let mut turned = 0;
                let mut loads = Vec::new();
                let starts = (0..).map(|k| f64::from(k) * level_clocks);
                for (start, turns) in starts.zip(change.turns(levels, 0)) {
                    turned ^= turns;
                    let phase = (start / clocks + 0.5 * f64::from(turned)).fract();
                    square(&mut loads, (start, level_clocks), clocks, phase);
                }
                loads
            }
            Self::OwnTones(_) => Vec::new(),
        }
    }
}

/// Adds a square wave of `clocks` a period, high in the first half of it, over `(start, length)`, from a phase in
/// periods on.
fn square(loads: &mut Vec<(f64, u8)>, (start, length): (f64, f64), clocks: f64, phase: f64) {
    let half = 0.5 * clocks;
    let mut halves = (2.0 * phase + SAME_CLOCK).floor();
    let mut at = 0.0;
    while at < length - SAME_CLOCK {
        loads.push((start + at, u8::from(halves.rem_euclid(2.0) < 0.5)));
        halves += 1.0;
        at = halves * half - phase * clocks;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn samples(keying: Keying, levels: &[u8], level_clocks: u32) -> String {
        let loads = keying.loads(levels, f64::from(level_clocks));
        // Four looks a carrier cycle.
        (0..4 * level_clocks * levels.len() as u32)
            .map(|look| {
                let clock = f64::from(look) / 4.0 + 0.01;
                let now = loads.iter().rev().find(|load| load.0 <= clock);
                if now.map_or(0, |load| load.1) == 1 {
                    '#'
                } else {
                    '.'
                }
            })
            .collect()
    }

    #[test]
    fn the_load_follows_the_levels() {
        assert_eq!(samples(Keying::Load, &[1, 0, 0, 1], 1), "####........####");
    }

    #[test]
    fn two_frequencies_restart_or_go_on() {
        let keying = |divider| Keying::Frequency {
            one_clocks: 2,
            zero_clocks: 4,
            divider,
        };
        // 3 cycles are one and a half periods of the faster subcarrier.
        assert_eq!(
            samples(keying(Divider::Restarts), &[1, 0], 3),
            "####....############...."
        );
        assert_eq!(
            samples(keying(Divider::GoesOn), &[1, 0], 3),
            "####....####........####"
        );
    }

    #[test]
    fn the_phase_turns_by_its_rule() {
        let keying = |change| Keying::Phase { clocks: 2, change };
        assert_eq!(
            samples(keying(PhaseChange::OnChange), &[0, 1, 1], 2),
            "####........####....####"
        );
        assert_eq!(
            samples(keying(PhaseChange::OnOne), &[0, 1, 1], 2),
            "####........########...."
        );
        assert_eq!(
            samples(keying(PhaseChange::OnRise), &[1, 0, 1], 2),
            "....####....########...."
        );
    }
}
