use serde::{Deserialize, Serialize};

/// A number by which coils are compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Number {
    /// Resonance with its capacitor, hertz.
    Resonance,
    /// Quality factor at the resonance.
    Q,
    /// Inductance, henry.
    Inductance,
    /// Series resistance at the working frequency, ohm.
    Resistance,
    /// Capacitance across or in series, farad.
    Capacitance,
    /// Resistance to direct current at 20 °C, ohm.
    DirectResistance,
}

/// How many numbers there are.
pub(super) const COUNT: usize = 6;

impl Number {
    /// All, in the order in which vectors hold them.
    pub const ALL: [Self; COUNT] = [
        Self::Resonance,
        Self::Q,
        Self::Inductance,
        Self::Resistance,
        Self::Capacitance,
        Self::DirectResistance,
    ];

    /// What it is called in a sentence.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Resonance => "resonance",
            Self::Q => "Q",
            Self::Inductance => "inductance",
            Self::Resistance => "resistance at the working frequency",
            Self::Capacitance => "capacitance",
            Self::DirectResistance => "direct-current resistance",
        }
    }

    /// Its unit; empty for Q.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Resonance => "Hz",
            Self::Q => "",
            Self::Inductance => "H",
            Self::Resistance | Self::DirectResistance => "Ω",
            Self::Capacitance => "F",
        }
    }
}
