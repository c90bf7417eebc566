//! When a subcarrier turns its phase by half a period: the three rules of phase-shift keys.
//!
//! The names PSK1, PSK2 and PSK3 stand in the T5557 data sheet 4517E, p 15, figure 18; what each does is from a
//! transcription of the data sheet of the family before it (second hand).

use serde::Serialize;

/// When a subcarrier turns its phase.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PhaseChange {
    /// With every change of the data, so that the phase is the bit: PSK1.
    OnChange,
    /// Where a bit begins that is 1: PSK2.
    OnOne,
    /// Where the data rise from 0 to 1: PSK3. Where they fall does not show, so bits alone are not told by it; the halves of
    /// Manchester bits are.
    OnRise,
}

impl PhaseChange {
    /// Every rule.
    pub const ALL: [Self; 3] = [Self::OnChange, Self::OnOne, Self::OnRise];

    /// The name used in machine-readable output: `on_change`, `on_one`, `on_rise`.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::OnChange => "on_change",
            Self::OnOne => "on_one",
            Self::OnRise => "on_rise",
        }
    }

    /// Returns for each bit whether the phase turns where it begins (1) or not (0), after a bit `before`.
    ///
    /// ```
    /// use coilwright_signal::code::PhaseChange;
    /// assert_eq!(PhaseChange::OnChange.turns(&[1, 0, 1, 1], 1), [0, 1, 1, 0]);
    /// assert_eq!(PhaseChange::OnOne.turns(&[1, 0, 1, 1], 1), [1, 0, 1, 1]);
    /// assert_eq!(PhaseChange::OnRise.turns(&[1, 0, 1, 1], 1), [0, 0, 1, 0]);
    /// ```
    #[must_use]
    pub fn turns(self, bits: &[u8], before: u8) -> Vec<u8> {
        let mut before = before != 0;
        bits.iter()
            .map(|&bit| {
                let bit = bit != 0;
                let turns = match self {
                    Self::OnChange => bit != before,
                    Self::OnOne => bit,
                    Self::OnRise => bit && !before,
                };
                before = bit;
                u8::from(turns)
            })
            .collect()
    }
}
