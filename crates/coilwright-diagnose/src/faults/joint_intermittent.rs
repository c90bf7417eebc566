//! A joint makes contact only now and then.
//!
//! The field drops within a burst at irregular times and for irregular lengths, where an interlock that asks would switch
//! regularly. At each break the ring's current is cut within a cycle.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::JointIntermittent,
    prior: 0.05,
    field: [0.97, 0.02, 0.01],
    third_harmonic_db: &[normal(0.8, -28.0, 8.0), normal(0.2, -10.0, 8.0)],
    ring: [0.75, 0.05, 0.18, 0.02],
    key: [0.75, 0.1, 0.01, 0.14],
    dropouts: [0.05, 0.2, 0.75],
    against_level: &[normal(1.0, -0.15, 0.3)],
    against_resonance: &[normal(1.0, 0.0, 0.012)],
    against_q: &[normal(1.0, -0.1, 0.25)],
    sentence: "The field drops out at irregular times: a joint in the ring's circuit makes contact only now and then.",
    next: &[
        (
            "Record while moving plug, lead and ring one after the other.",
            "The part whose movement makes the drop-outs is the one to mend.",
        ),
        (
            "With the drive off, measure the ring's resistance at the plug while moving the lead.",
            "A reading that jumps finds the joint.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
