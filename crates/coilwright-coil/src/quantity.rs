use crate::FitError;
use serde::{Deserialize, Serialize};

/// What a table holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Measured {
    /// Amplitudes of a sweep.
    Amplitudes,
    /// Impedances.
    Impedances,
}

impl std::fmt::Display for Measured {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Amplitudes => "amplitudes",
            Self::Impedances => "impedances",
        })
    }
}

/// A quantity that must be positive and finite.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Positive {
    /// A frequency, hertz.
    Frequency,
    /// An inductance, henry.
    Inductance,
    /// A resistance, ohm.
    Resistance,
    /// A capacitance, farad.
    Capacitance,
    /// A quality factor.
    Q,
    /// The factor of the data.
    Scale,
    /// A time, seconds.
    Duration,
    /// A standard deviation, in the unit of its quantity.
    Deviation,
    /// The resistance that the reflection is stated against, ohm.
    ReferenceResistance,
}

impl std::fmt::Display for Positive {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Frequency => "frequency in hertz",
            Self::Inductance => "inductance in henry",
            Self::Resistance => "resistance in ohm",
            Self::Capacitance => "capacitance in farad",
            Self::Q => "Q",
            Self::Scale => "scale of the data",
            Self::Duration => "duration in seconds",
            Self::Deviation => "standard deviation",
            Self::ReferenceResistance => "reference resistance in ohm",
        })
    }
}

impl Positive {
    /// Refuses what is not positive and finite.
    pub(crate) fn check(self, found: f64) -> Result<(), FitError> {
        if found.is_finite() && found > 0.0 {
            return Ok(());
        }
        Err(FitError::NotPositive {
            quantity: self,
            found,
        })
    }
}
