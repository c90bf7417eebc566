use coilwright_signal::code::PhaseChange;
use coilwright_signal::frame::FrameKind;

use super::Fault;
use crate::SimulateError;
use crate::modulate::LineCode;

/// How a key modulates.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KeyModulation {
    /// It switches its load by the line code.
    Ask,
    /// It switches its load at two subcarriers.
    Fsk,
    /// It switches its load at one subcarrier that turns its phase.
    Psk,
    /// It sends two tones of its own after the field went off.
    HalfDuplex,
}

impl KeyModulation {
    /// Every modulation.
    pub const ALL: [Self; 4] = [Self::Ask, Self::Fsk, Self::Psk, Self::HalfDuplex];

    /// Returns the identifier, such as `half_duplex`.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Ask => "ask",
            Self::Fsk => "fsk",
            Self::Psk => "psk",
            Self::HalfDuplex => "half_duplex",
        }
    }
}

/// What the key of a random scenario is to be; what is `None` is drawn.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KeyChoice {
    /// Which frame it sends.
    pub frame: Option<FrameKind>,
    /// How it modulates; without it, what the other choices ask for, or `Ask`.
    pub modulation: Option<KeyModulation>,
    /// The line code.
    pub line_code: Option<LineCode>,
    /// Carrier cycles a bit.
    pub clocks_per_bit: Option<u32>,
    /// Carrier cycles in a period of each subcarrier: of 1 and of 0 for `Fsk`, one for `Psk`.
    pub subcarrier_clocks: Option<Vec<u32>>,
    /// When the phase of a subcarrier turns.
    pub phase_change: Option<PhaseChange>,
}

impl KeyChoice {
    /// Returns how the key modulates.
    #[must_use]
    pub fn modulation(&self) -> KeyModulation {
        let implied = match (&self.subcarrier_clocks, self.phase_change, self.frame) {
            (Some(clocks), ..) if clocks.len() > 1 => KeyModulation::Fsk,
            (Some(_), ..) | (_, Some(_), _) => KeyModulation::Psk,
            (.., Some(FrameKind::Hdx)) => KeyModulation::HalfDuplex,
            _ => KeyModulation::Ask,
        };
        self.modulation.unwrap_or(implied)
    }

    /// Checks that the choices go together and with a fault.
    ///
    /// # Errors
    /// [`SimulateError::KeyChoice`] for the first that does not.
    pub fn validate(&self, fault: Fault) -> Result<(), SimulateError> {
        let modulation = self.modulation();
        let half_duplex = modulation == KeyModulation::HalfDuplex;
        let is_hdx = self.frame == Some(FrameKind::Hdx);
        let subcarriers = self.subcarrier_clocks.as_ref().map(Vec::len);
        let wanted = match modulation {
            KeyModulation::Fsk => Some(2),
            KeyModulation::Psk => Some(1),
            _ => None,
        };
        let clashes = [
            (
                half_duplex && self.frame.is_some() && !is_hdx,
                "the frame",
                "the frame hdx for a half-duplex key",
            ),
            (
                is_hdx && !half_duplex,
                "the frame hdx",
                "the modulation half_duplex",
            ),
            (
                half_duplex && (self.line_code.is_some() || self.clocks_per_bit.is_some()),
                "line code or bit length",
                "none for a half-duplex key: its bits are 16 cycles of a tone",
            ),
            (
                subcarriers.is_some() && subcarriers != wanted,
                "the subcarrier",
                "two subcarriers for fsk, one for psk, none otherwise",
            ),
            (
                self.phase_change.is_some() && modulation != KeyModulation::Psk,
                "the change of phase",
                "the modulation psk",
            ),
            (
                half_duplex
                    && matches!(
                        fault,
                        Fault::KeyWeak
                            | Fault::KeysCollide
                            | Fault::Interference
                            | Fault::CannotTell
                    ),
                "the fault",
                "another fault for a half-duplex key: these are modelled for keys that answer in the field",
            ),
        ];
        match clashes.into_iter().find(|clash| clash.0) {
            Some((_, choice, expected)) => Err(SimulateError::KeyChoice {
                choice,
                modulation: modulation.identifier(),
                expected,
            }),
            None => Ok(()),
        }
    }
}
