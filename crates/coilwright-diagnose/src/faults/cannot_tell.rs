//! The capture does not carry the answer.
//!
//! Too short for a frame, too noisy for a key of usual depth, or distorted by the recorder.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::CannotTell,
    prior: 0.04,
    field: [0.6, 0.15, 0.25],
    level_db: &[normal(0.6, -10.0, 10.0), normal(0.4, -35.0, 15.0)],
    third_harmonic_db: &[normal(1.0, -20.0, 14.0)],
    ring: [0.3, 0.2, 0.45, 0.05],
    detuning: &[normal(1.0, 0.0, 0.1)],
    key: [0.2, 0.2, 0.05, 0.55],
    dropouts: [0.8, 0.15, 0.05],
    interference: [0.6, 0.25, 0.15],
    recording: [0.04, 0.26, 0.7],
    against_level: &[normal(1.0, -1.0, 1.5)],
    against_resonance: &[normal(1.0, 0.0, 0.1)],
    against_q: &[normal(1.0, 0.0, 0.6)],
    sentence: "This capture does not carry the answer.",
    next: &[
        (
            "Capture again: a second of signal with the lock switched on during it, the level at a third to two thirds of full scale.",
            "Edges give the ring, a steady field gives the key.",
        ),
        (
            "Hold the pickup coil closer, or turn it until the level is highest.",
            "More signal over the same noise.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
