use coilwright_signal::Estimate;
use serde::Serialize;

/// What kind of signal the samples hold.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Signal {
    /// The kind that was decided or forced.
    pub kind: SignalKind,
    /// Whether the user forced the kind.
    pub forced: bool,
    /// Nyquist zone of an aliased carrier, 1 where it is seen directly.
    pub zone: u32,
    /// Whether the spectrum is mirrored.
    pub inverted: bool,
    /// Other true carriers that would look the same, in hertz.
    pub ambiguous_with_hz: Vec<f64>,
    /// One sentence that says why.
    pub reason: String,
}

/// The nature of the samples.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SignalKind {
    /// The carrier is seen directly.
    Direct,
    /// The carrier is seen folded.
    Aliased,
    /// The envelope from a diode detector.
    Envelope,
    /// Complex samples around the carrier.
    ComplexBaseband,
    /// Pings of a ring that is tapped by a pulse and not driven.
    RingDown,
    /// No carrier was found.
    NoCarrier,
}

/// The tone that energises the key.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Carrier {
    /// True frequency in hertz.
    pub frequency_hz: Option<Estimate>,
    /// The frequency at which it appears in the samples.
    pub apparent_hz: Option<f64>,
    /// The nominal carrier that it was held against.
    pub nominal_hz: Option<f64>,
    /// Amplitude in the capture's unit.
    pub amplitude: Option<f64>,
    /// Carrier power over noise power in half the sample rate, in decibels.
    pub snr_db: Option<f64>,
    /// Third harmonic of the drive relative to the fundamental, in decibels, where the sample rate lets it be seen.
    pub third_harmonic_db: Option<f64>,
}
