//! What the measurements say, reduced to the few quantities that tell the faults apart.

use coilwright_signal::Estimate;

/// Everything that the verdict weighs. A quantity that was not measured is `None` or the `Unknown` case and weighs
/// nothing for or against any fault.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Evidence {
    /// Whether a field is there.
    pub field: FieldEvidence,
    /// Carrier level over the recorder's full scale, in decibels.
    pub level_db: Option<f64>,
    /// Third harmonic of the drive over its fundamental, in decibels.
    pub third_harmonic_db: Option<f64>,
    /// Carrier frequency against the nominal one: `f / nominal - 1`.
    pub carrier_offset: Option<f64>,
    /// What the ring did at its edges.
    pub ring: RingEvidence,
    /// What the key did.
    pub key: KeyEvidence,
    /// Whether the field drops out where a working driver would not let it.
    pub dropouts: DropoutEvidence,
    /// Whether something other than carrier and key is strong near the carrier.
    pub interference: InterferenceEvidence,
    /// Whether the recording itself can carry an answer.
    pub recording: RecordingEvidence,
    /// Ratios to a known-good capture.
    pub against: Option<AgainstEvidence>,
}

/// Whether a field is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum FieldEvidence {
    /// A carrier that stands clear of the noise.
    Present,
    /// A line at the carrier that hardly stands out.
    Trace,
    /// No line at the carrier.
    Absent,
    /// The capture is a ring-down: it says nothing of a field.
    NotExpected,
}

/// A resonance held against one nominal carrier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct RungAgainst {
    /// Probability that the ring is meant for this carrier, before anything is measured.
    pub share: f64,
    /// `ln(f0 / nominal)`.
    pub detuning: Estimate,
}

/// What the ring did at its edges.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum RingEvidence {
    /// A resonance was fitted and its residual is noise.
    Measured {
        /// `ln(f0 / carrier)`.
        detuning: Estimate,
        /// `ln(Q)`.
        ln_q: Estimate,
    },
    /// A ring-down gave the resonance, without a carrier to hold it against.
    Rung {
        /// `ln(f0 / nominal)` for each nominal carrier that the ring may be meant for.
        nominals: Vec<RungAgainst>,
        /// `ln(Q)`.
        ln_q: Estimate,
    },
    /// The level settles within about a cycle: there is no ring-down to fit.
    Gone,
    /// What rings on after the edges is too weak to be the ring's own current.
    Foreign,
    /// There are edges, but no pole explains them.
    Unexplained,
    /// No usable edge.
    Unknown,
}

/// What the key did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum KeyEvidence {
    /// Frames were read.
    Reads {
        /// `ln` of the depth.
        ln_depth: f64,
    },
    /// Something modulates, but no frame was read.
    Unreadable {
        /// `ln` of the depth.
        ln_depth: f64,
    },
    /// Two keys at once.
    Collide,
    /// Nothing modulates, and the recording would have shown it.
    Silent,
    /// The recording would not have shown a key.
    Unknown,
}

/// Drop-outs within field-on time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum DropoutEvidence {
    /// None.
    None,
    /// One, or a few that a switching interlock may make itself.
    Doubtful,
    /// Several at irregular times.
    Irregular,
    /// There is no field in which they would show.
    Unknown,
}

/// Interference near the carrier.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum InterferenceEvidence {
    /// None that matters.
    None,
    /// Visible, too weak to hide a key of usual depth.
    Mild,
    /// Strong enough to hide a key of usual depth.
    Strong,
}

/// The recording itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum RecordingEvidence {
    /// Nothing stands in the way of an answer.
    Fit,
    /// Something is wrong with it, but answers remain possible.
    Doubtful,
    /// Too short, too noisy or too distorted.
    Unfit,
}

/// Natural logarithms of ratios to a known-good capture.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(
    clippy::struct_field_names,
    reason = "each is a natural logarithm, which a reader must see"
)]
pub(crate) struct AgainstEvidence {
    /// Carrier level.
    pub ln_level: Option<f64>,
    /// Resonance.
    pub ln_resonance: Option<Estimate>,
    /// Q.
    pub ln_q: Option<Estimate>,
}
