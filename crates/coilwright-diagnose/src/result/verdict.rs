use coilwright_signal::Estimate;
use serde::Serialize;

use super::Fault;

/// What is wrong, how sure that is, and what to measure next.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Verdict {
    /// The likeliest fault.
    pub fault: Fault,
    /// Its probability, 0 to 1.
    pub probability: f64,
    /// One sentence in plain words.
    pub sentence: String,
    /// The other faults that stay possible (1 % and more), the likeliest first.
    pub others: Vec<Other>,
    /// What a single capture cannot split here, and why; empty where nothing is.
    pub cannot_split: String,
    /// What is missing for a surer answer.
    pub missing: Vec<String>,
    /// What to measure or do next, in this order.
    pub next: Vec<NextStep>,
}

/// Another fault that stays possible.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Other {
    /// The fault.
    pub fault: Fault,
    /// Its probability, 0 to 1.
    pub probability: f64,
}

/// One thing to measure or do next.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct NextStep {
    /// What to do.
    pub action: String,
    /// What each outcome would mean.
    pub tells: String,
}

/// A caution that applies to the next measurements.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Caution {
    /// Work near a steering column with an airbag.
    Airbag,
    /// Disconnecting or bridging a battery.
    Battery,
    /// A driven resonant coil carries hundreds of volts.
    ResonantVoltage,
    /// Strong low-frequency fields near pacemakers and other implants.
    Implant,
    /// Proof that the customer may have the work done.
    Permission,
}

impl Caution {
    /// The caution in plain words.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Airbag => {
                "Airbag: near a steering column, first make the restraint system safe as the vehicle's maker prescribes; waiting times differ by maker. Never put an ohmmeter on an airbag circuit."
            }
            Self::Battery => {
                "Battery: follow the maker's procedure before disconnecting; stored settings can be lost and a short circuit can burn."
            }
            Self::ResonantVoltage => {
                "High voltage: a driven antenna ring can carry hundreds of volts at resonance. Switch the drive off before touching or probing its terminals."
            }
            Self::Implant => {
                "Implants: people with a pacemaker or other implant keep away from a driven coil; their physician and the implant's maker decide."
            }
            Self::Permission => {
                "Permission: have proof that the customer may have this work done before keys or pairing data are touched."
            }
        }
    }
}

/// How a capture compares with a known-good one, measured the same way. Ratios are this capture over the good one.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Comparison {
    /// The known-good capture.
    pub file: String,
    /// Carrier amplitude.
    pub level_ratio: Option<f64>,
    /// Ring resonance.
    pub resonance_ratio: Option<Estimate>,
    /// Ring Q.
    pub q_ratio: Option<Estimate>,
    /// Key depth.
    pub depth_ratio: Option<f64>,
}
