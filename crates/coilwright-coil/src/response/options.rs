use serde::{Deserialize, Serialize};

/// What passes the resonance by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Background {
    /// Nothing: the response vanishes far from the resonance.
    None,
    /// A complex constant: the detuned reflection, a leak.
    #[default]
    Constant,
    /// A complex constant and its slope against frequency: leakage that grows, a neighbouring resonance.
    Sloped,
    /// A constant, and the slope where it makes the fit better than chance would in 1 of 1000 fits.
    SlopeIfSeen,
}

/// Whether an unknown length of line turns the phase.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FeedLine {
    /// The reference plane lies at the resonator.
    #[default]
    None,
    /// A lossless line of unknown delay lies between; it is fitted (the seventh parameter of NPL MAT 58, eq. 26).
    Fitted,
}

/// How points count in the fit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Weighting {
    /// All alike: least variance in white noise.
    #[default]
    Equal,
    /// Squares weighted with `1/(1 + Q²t²)`: points far out on the resonance curve count less, which resists a background that
    /// the model does not hold (NPL MAT 58, section 2.4, eq. 28). Costs some accuracy in white noise.
    Angular,
}

/// What was measured on the resonant circuit: the power of frequency that its curve carries besides the resonance.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// The current of a series circuit or the voltage of a parallel one: `1/(1 + jQt)`. Reflection and transmission
    /// through coupling that does not depend on frequency belong here.
    #[default]
    Current,
    /// The voltage of the capacitor of a series circuit, `∝ I/f`: it peaks below the resonance.
    CapacitorVoltage,
    /// The voltage of the coil, or that of a pickup coil beside it, `∝ f I`: it peaks above the resonance.
    CoilVoltage,
}

impl Quantity {
    /// Exponent of the relative frequency.
    pub(crate) const fn exponent(self) -> i32 {
        match self {
            Self::Current => 0,
            Self::CapacitorVoltage => -1,
            Self::CoilVoltage => 1,
        }
    }
}

/// Settings of a fit of a complex response.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct ResponseOptions {
    /// What passes the resonance by.
    pub background: Background,
    /// Whether a line is fitted.
    pub feed_line: FeedLine,
    /// How points count.
    pub weighting: Weighting,
    /// What was measured.
    pub quantity: Quantity,
}
