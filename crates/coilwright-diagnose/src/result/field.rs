use coilwright_signal::Span;
use serde::Serialize;

/// When the field was on.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Field {
    /// Part of the capture with the field on, 0 to 1.
    pub on_fraction: f64,
    /// The stretches with the field on; at most the first 200 of a long capture.
    pub bursts: Vec<Burst>,
    /// How many bursts there were in all.
    pub burst_count: u64,
    /// Switch-on and switch-off edges; at most the first 400 of a long capture.
    pub edges: Vec<EdgeEvent>,
    /// Sudden losses of level within a burst; at most the first 200.
    pub dips: Vec<Dip>,
    /// How many such losses there were in all.
    pub dip_count: u64,
    /// How often the interlock asks, where it asks regularly.
    pub repetition: Option<Repetition>,
}

/// One stretch with the field on.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Burst {
    /// Where it lies in the capture.
    pub span: Span,
    /// Carrier amplitude in the capture's unit.
    pub level: f64,
}

/// Which way the field was switched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum EdgeKind {
    /// The drive was switched on.
    On,
    /// The drive was switched off.
    Off,
}

/// One switching edge of the field.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct EdgeEvent {
    /// On or off.
    pub kind: EdgeKind,
    /// The sample at which the drive changed.
    pub sample: u64,
}

/// A sudden loss of level within a burst.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Dip {
    /// Where it lies in the capture.
    pub span: Span,
    /// Level that is left, relative to the burst.
    pub level_ratio: f64,
}

/// How often the interlock asks.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Repetition {
    /// From one switch-on to the next, in seconds.
    pub period_s: f64,
    /// How long the field stays on, in seconds.
    pub length_s: f64,
}
