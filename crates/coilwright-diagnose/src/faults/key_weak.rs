//! A key answers, but weakly or off tune.
//!
//! A key coil 8 to 15 % off tune, or far from the ring, modulates the carrier far less than its usual 0.5 to 17 %.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::KeyWeak,
    prior: 0.05,
    field: [0.985, 0.01, 0.005],
    level_db: &[normal(0.9, -8.0, 6.0), normal(0.1, -20.0, 10.0)],
    third_harmonic_db: &[normal(0.85, -30.0, 7.0), normal(0.15, -14.0, 6.0)],
    carrier_offset: &[normal(1.0, 0.0, 0.004)],
    ring: [0.94, 0.01, 0.05],
    detuning: &[normal(0.85, 0.0, 0.012), normal(0.15, 0.0, 0.03)],
    ln_q: &[normal(1.0, 2.64, 0.6)],
    key: [0.6, 0.18, 0.005, 0.215],
    ln_depth: &[normal(1.0, -6.2, 0.8)],
    dropouts: [0.97, 0.025, 0.005],
    interference: [0.9, 0.09, 0.01],
    recording: [0.93, 0.06, 0.01],
    against_level: &[normal(1.0, 0.0, 0.12)],
    against_resonance: &[normal(1.0, 0.0, 0.008)],
    against_q: &[normal(1.0, 0.0, 0.12)],
    sentence: "A key answers, but weakly: its coil is off tune, damaged, or sits too far from the ring.",
    cannot_split: "",
    next: &[
        (
            "Compare with a key that is known to work, held the same way.",
            "It answers strongly: the first key's coil is at fault. It is weak too: the ring or its position is.",
        ),
        (
            "Look for a loose or turned transponder in the key's head.",
            "A transponder that moved couples badly.",
        ),
    ],
};
