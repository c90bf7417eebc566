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
    level_db: &[normal(0.9, -8.0, 6.0), normal(0.1, -20.0, 10.0)],
    third_harmonic_db: &[normal(0.8, -28.0, 8.0), normal(0.2, -10.0, 8.0)],
    carrier_offset: &[normal(1.0, 0.0, 0.004)],
    ring: [0.75, 0.05, 0.2],
    detuning: &[normal(0.85, 0.0, 0.012), normal(0.15, 0.0, 0.03)],
    ln_q: &[normal(1.0, 2.64, 0.6)],
    key: [0.75, 0.1, 0.01, 0.14],
    ln_depth: &[normal(1.0, -3.4, 1.0)],
    dropouts: [0.05, 0.2, 0.75],
    interference: [0.9, 0.09, 0.01],
    recording: [0.93, 0.06, 0.01],
    against_level: &[normal(1.0, -0.15, 0.3)],
    against_resonance: &[normal(1.0, 0.0, 0.012)],
    against_q: &[normal(1.0, -0.1, 0.25)],
    sentence: "The field drops out at irregular times: a joint in the ring's circuit makes contact only now and then.",
    cannot_split: "",
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
};
