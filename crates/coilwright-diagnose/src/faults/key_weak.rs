//! A key answers, but weakly or off tune.
//!
//! A key coil 8 to 15 % off tune, or far from the ring, modulates the carrier far less than its usual 0.5 to 17 %.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::KeyWeak,
    prior: 0.05,
    key: [0.6, 0.18, 0.005, 0.215],
    ln_depth: &[normal(1.0, -6.2, 0.8)],
    sentence: "A key answers, but weakly: its coil is off tune, damaged, or sits too far from the ring.",
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
    ..Profile::WORKING_LOCK
};
