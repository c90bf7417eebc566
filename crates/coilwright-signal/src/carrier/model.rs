use serde::Serialize;

/// What the samples of a capture show of the carrier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum SignalKind {
    /// The carrier itself, below half the sample rate.
    Direct,
    /// The carrier folded down by undersampling.
    Aliased {
        /// Which zone of half a sample rate it comes from; 1 would be the direct one.
        zone: u32,
        /// Whether the spectrum is mirrored, as it is in every even zone.
        inverted: bool,
    },
    /// The rectified carrier from a diode detector: its level is an offset, its modulation the signal.
    Envelope,
    /// In-phase and quadrature samples of a receiver tuned near the carrier.
    ComplexBaseband,
    /// No carrier was found.
    NoCarrier,
}

impl SignalKind {
    /// Returns the name used in machine-readable output: `direct`, `aliased`, `envelope`, `complex_baseband`,
    /// `no_carrier`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Direct => "direct",
            Self::Aliased { .. } => "aliased",
            Self::Envelope => "envelope",
            Self::ComplexBaseband => "complex_baseband",
            Self::NoCarrier => "no_carrier",
        }
    }
}

/// Where the carrier is in a capture.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Carrier {
    /// What the samples show of it.
    pub kind: SignalKind,
    /// Its frequency as it appears in the samples; 0 for an envelope, signed for complex samples.
    pub apparent_hz: f64,
    /// Its frequency in the air. For an envelope this is the nominal frequency, and for complex baseband it is only
    /// as good as the receiver's tuning.
    pub true_hz: f64,
}

impl Carrier {
    /// A carrier that is seen directly.
    #[must_use]
    pub const fn direct(frequency_hz: f64) -> Self {
        Self {
            kind: SignalKind::Direct,
            apparent_hz: frequency_hz,
            true_hz: frequency_hz,
        }
    }

    /// Returns whether a higher frequency in the air appears as a lower one.
    #[must_use]
    pub const fn is_inverted(&self) -> bool {
        matches!(self.kind, SignalKind::Aliased { inverted: true, .. })
    }

    /// Returns whether the true frequency follows from the samples, so that a clock can be derived from it.
    #[must_use]
    pub const fn has_exact_clock(&self) -> bool {
        matches!(self.kind, SignalKind::Direct | SignalKind::Aliased { .. })
    }

    /// The frequency in the air of a carrier that appears `offset_hz` above its expected place.
    pub(crate) fn true_hz_at(&self, offset_hz: f64) -> f64 {
        let sign = if self.is_inverted() { -1.0 } else { 1.0 };
        self.true_hz + sign * offset_hz
    }
}
