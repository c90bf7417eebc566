use crate::Quantity;
use serde::{Deserialize, Serialize};

/// What a resonance makes of the amplitude over frequency.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SweepShape {
    /// A peak over nothing: `A/√(1 + Q²t²)`.
    Peak,
    /// A peak over a background that shares no phase with it, such as noise.
    PeakOverBackground,
    /// A dip in a background: a resonator that takes power off a line.
    Dip,
    /// A peak and a dip side by side: the resonance and a direct path interfere.
    PeakAndDip,
}

/// Settings of a fit to amplitudes.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct SweepOptions {
    /// What was measured.
    pub quantity: Quantity,
}
