use serde::Serialize;

/// How much a finding matters to the verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// It decides, or nearly.
    Decisive,
    /// It counts.
    Notable,
    /// For the record.
    Minor,
}

/// One thing that was noticed: the number, its limit, where the limit comes from, and what it means.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Finding {
    /// A stable name, such as `ring_detuned`.
    pub id: FindingId,
    /// How much it matters.
    pub weight: Weight,
    /// One sentence in plain words, with the number in it.
    pub text: String,
    /// The number, where there is one.
    pub value: Option<f64>,
    /// Its limit, where there is one.
    pub limit: Option<f64>,
    /// Unit of value and limit; empty for plain ratios and counts.
    pub unit: &'static str,
    /// Where the limit comes from: a source, or `common practice, no source`.
    pub origin: &'static str,
}

/// Stable names of the findings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum FindingId {
    /// The capture is a ring-down: the ring is tapped by a pulse and not driven.
    RingDownCapture,
    /// No carrier line was found.
    CarrierMissing,
    /// The carrier is there, with its level.
    CarrierPresent,
    /// The carrier is so low that it may be only the driver's residue at a broken ring.
    CarrierLow,
    /// The carrier is far from its nominal frequency.
    CarrierOff,
    /// The drive's third harmonic is strong against the fundamental.
    HarmonicsStrong,
    /// The field sits far above what a broken ring leaves, or the harmonics are low.
    HarmonicsLow,
    /// The ring's resonance was measured and lies near the carrier.
    RingTuned,
    /// The ring's resonance was measured and lies off the carrier.
    RingDetuned,
    /// The ring is damped more than a working ring would be.
    RingDamped,
    /// No ring-down was seen at an edge where one must be.
    RingTailMissing,
    /// What rings on after the edges is too weak to be the ring's own current.
    TailForeign,
    /// No usable switching edge is in the capture.
    EdgesMissing,
    /// The driver does not let the tail ring freely.
    TailHeld,
    /// A key answers with a frame whose checks hold.
    KeyReads,
    /// Something modulates the carrier, but no frame was read.
    KeyUnreadable,
    /// Nothing modulates the carrier.
    KeySilent,
    /// The key's modulation is unusually weak.
    KeyDepthLow,
    /// Two keys answer at once.
    KeysCollide,
    /// The field drops out within a burst.
    FieldDrops,
    /// A line or noise that is neither carrier nor key.
    Interference,
    /// The recording is clipped.
    Clipping,
    /// Samples are missing or repeated.
    SamplesLost,
    /// Mains hum is strong.
    Hum,
    /// The recording has a DC offset.
    DcOffset,
    /// The signal spans few converter steps.
    Quantisation,
    /// The capture is too short or too noisy for an answer.
    CaptureTooPoor,
    /// Level against the known-good capture.
    LevelAgainst,
    /// Resonance against the known-good capture.
    ResonanceAgainst,
    /// Q against the known-good capture.
    QAgainst,
}
