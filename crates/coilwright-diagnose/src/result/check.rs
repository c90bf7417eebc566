use serde::Serialize;

use super::{
    Carrier, Caution, Comparison, Downlink, Field, Finding, KeyFound, Ring, Signal, Verdict,
};

/// Name and version of the JSON form of [`Check`].
pub const SCHEMA: &str = "coilwright.check/1";

/// Everything that a check found out about one capture, from the samples to the verdict.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Check {
    /// [`SCHEMA`].
    pub schema: &'static str,
    /// The capture as the user named it; `-` for standard input.
    pub file: String,
    /// The recording itself.
    pub capture: CaptureSummary,
    /// What kind of signal the samples hold.
    pub signal: Signal,
    /// The tone that energises the key.
    pub carrier: Carrier,
    /// When the field was on.
    pub field: Field,
    /// The antenna ring, from its own switching edges.
    pub ring: Ring,
    /// The keys that answered, the best read first.
    pub keys: Vec<KeyFound>,
    /// What the reader said to the key.
    pub downlink: Downlink,
    /// What was noticed, the weightiest first.
    pub findings: Vec<Finding>,
    /// How the capture compares with a known-good one, where one was given.
    pub against: Option<Comparison>,
    /// What is wrong, how sure that is, and what to measure next.
    pub verdict: Verdict,
    /// Cautions that apply to the next measurements.
    pub cautions: Vec<Caution>,
}

/// The recording itself.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct CaptureSummary {
    /// Samples per second and channel.
    pub sample_rate_hz: f64,
    /// Samples read.
    pub length_samples: u64,
    /// Length in seconds.
    pub duration_s: f64,
    /// The channel that was read, from 0.
    pub channel: usize,
    /// How many channels the source holds.
    pub channels: usize,
    /// Format in words.
    pub format: String,
    /// Unit of all levels: `full_scale`, `volt` or `unknown`.
    pub unit: coilwright_signal::capture::Unit,
    /// When the first sample was taken, as the file states it.
    pub start_time: Option<String>,
    /// What the reader repaired or doubted, one sentence each.
    pub warnings: Vec<String>,
}
