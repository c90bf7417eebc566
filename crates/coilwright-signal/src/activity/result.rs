use serde::Serialize;

use crate::Span;

/// When the field was on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Activity {
    /// Whether the field was switched at all.
    pub state: FieldState,
    /// Stretches with the field on, in order. A dip does not end a burst.
    pub bursts: Vec<Burst>,
    /// Where the field was switched, in order. The start and the end of the capture are no edges.
    pub edges: Vec<Edge>,
    /// Sudden losses of level inside bursts, in order.
    pub dips: Vec<Dip>,
    /// How regular the dips are; `None` with fewer than two. A key that is spoken to by short gaps in the field
    /// shows dips of equal length, a bad joint does not.
    pub dip_regularity: Option<Regularity>,
    /// How often the field is asked for; `None` with fewer than two switch-ons.
    pub repetition: Option<Repetition>,
    /// Level at the carrier while the field is off, as an amplitude; `None` if it is never off.
    pub noise_floor: Option<f64>,
    /// Sudden changes that fell back to the level before, such as sparks; bursts of less than 0.5 ms and losses
    /// of less than 32 µs.
    pub glitches: u64,
    /// Changes of level that were noticed but not listed, because the list was full.
    pub unlisted_changes: u64,
}

/// Whether the field was switched during the capture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FieldState {
    /// On and off.
    Switched,
    /// On from the first sample to the last.
    AlwaysOn,
    /// Nothing at the carrier but noise.
    NeverOn,
}

/// A stretch with the field on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Burst {
    /// From switch-on to switch-off, cut at the ends of the capture.
    pub span: Span,
    /// Amplitude of the carrier once it has settled, in the capture's unit.
    pub level: f64,
    /// Whether the switch-on is inside the capture.
    pub begins_inside: bool,
    /// Whether the switch-off is inside the capture.
    pub ends_inside: bool,
}

/// Which way the field was switched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum EdgeKind {
    /// The drive starts; the level then rises with the ring's time constant.
    On,
    /// The drive stops; the level then decays.
    Off,
}

/// A switch-on or switch-off inside the capture.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Edge {
    /// Which way.
    pub kind: EdgeKind,
    /// First sample after the drive changed; when unsure late rather than early.
    pub sample: u64,
    /// Amplitude of the carrier before the edge.
    pub level_before: f64,
    /// Amplitude of the carrier once it has settled after the edge.
    pub level_after: f64,
    /// Whether the sample was found on the raw samples; otherwise it is late by up to 0.3 ms.
    pub refined: bool,
    /// Samples until the next change of level or the end of the capture.
    pub samples_after: u64,
}

/// A sudden loss of level while the field should be on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Dip {
    /// From the loss to the recovery, or to the end of the burst.
    pub span: Span,
    /// Level in the dip over the level of the burst: 0 for a complete loss, at most 0.7.
    pub level_ratio: f64,
    /// The burst that the dip belongs to.
    pub burst_index: usize,
}

/// How regularly the field is switched on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Repetition {
    /// Median time from switch-on to switch-on.
    pub period_s: f64,
    /// Median length of the bursts that lie inside the capture; `None` if there is none.
    pub length_s: Option<f64>,
    /// Standard deviation of the period over its mean; `None` with fewer than two periods.
    pub period_variation: Option<f64>,
    /// Standard deviation of the length over its mean; `None` with fewer than two complete bursts.
    pub length_variation: Option<f64>,
    /// How many periods were seen.
    pub periods: usize,
}

/// How much a series of events varies.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Regularity {
    /// How many events there are.
    pub count: usize,
    /// Standard deviation of the time from start to start over its mean; `None` with fewer than three events.
    pub spacing_variation: Option<f64>,
    /// Standard deviation of the length over its mean.
    pub length_variation: Option<f64>,
}
