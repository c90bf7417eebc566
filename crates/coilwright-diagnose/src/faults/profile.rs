//! The form in which each fault says what it does to the measurements.

use crate::density::{Normal, normal};
use crate::result::Fault;

/// What a fault does to the measurements, and what to say and do about it.
///
/// Shares are probabilities of the evidence's cases under the fault. They come from the physics in each fault's own
/// file and from simulated populations of circuits; where a number is a judgement, the file says so.
pub(crate) struct Profile {
    /// The fault.
    pub fault: Fault,
    /// How common it is among calls, before anything is measured (common practice, no source).
    pub prior: f64,
    /// Share of present, trace, absent field.
    pub field: [f64; 3],
    /// Carrier level over full scale, in decibels, of a recorder that is set for a working lock.
    pub level_db: &'static [Normal],
    /// Third harmonic over fundamental, in decibels.
    pub third_harmonic_db: &'static [Normal],
    /// Carrier offset from nominal.
    pub carrier_offset: &'static [Normal],
    /// Share of measured, gone, unexplained and foreign ringing, where there are edges.
    pub ring: [f64; 4],
    /// `ln(f0 / carrier)`.
    pub detuning: &'static [Normal],
    /// `ln(Q)`.
    pub ln_q: &'static [Normal],
    /// Share of a key that reads, is unreadable, collides, is silent.
    pub key: [f64; 4],
    /// `ln` depth of a key that is seen.
    pub ln_depth: &'static [Normal],
    /// Share of no, doubtful, irregular drop-outs.
    pub dropouts: [f64; 3],
    /// Share of no, mild, strong interference.
    pub interference: [f64; 3],
    /// Share of fit, doubtful, unfit recordings.
    pub recording: [f64; 3],
    /// `ln` level against a known-good capture.
    pub against_level: &'static [Normal],
    /// `ln` resonance against a known-good capture.
    pub against_resonance: &'static [Normal],
    /// `ln` Q against a known-good capture.
    pub against_q: &'static [Normal],
    /// The verdict in plain words.
    pub sentence: &'static str,
    /// What one capture cannot split here, and why.
    pub cannot_split: &'static str,
    /// What to measure or do next: action, what it tells.
    pub next: &'static [(&'static str, &'static str)],
}

impl Profile {
    /// A working lock with its key: what every fault starts from and names only its differences to.
    ///
    /// A fault states its own prior, sentence and next steps.
    pub(super) const WORKING_LOCK: Self = Self {
        fault: Fault::None,
        prior: 0.0,
        field: [0.985, 0.01, 0.005],
        level_db: &[normal(0.9, -8.0, 6.0), normal(0.1, -20.0, 10.0)],
        third_harmonic_db: &[normal(0.85, -30.0, 7.0), normal(0.15, -14.0, 6.0)],
        carrier_offset: &[normal(1.0, 0.0, 0.004)],
        ring: [0.92, 0.01, 0.045, 0.025],
        detuning: &[normal(0.85, 0.0, 0.012), normal(0.15, 0.0, 0.03)],
        ln_q: &[normal(1.0, 2.64, 0.6)],
        key: [0.95, 0.025, 0.005, 0.02],
        ln_depth: &[normal(1.0, -3.4, 1.0)],
        dropouts: [0.97, 0.025, 0.005],
        interference: [0.9, 0.09, 0.01],
        recording: [0.93, 0.06, 0.01],
        against_level: &[normal(1.0, 0.0, 0.12)],
        against_resonance: &[normal(1.0, 0.0, 0.008)],
        against_q: &[normal(1.0, 0.0, 0.12)],
        sentence: "",
        cannot_split: "",
        next: &[],
    };
}
