//! No key answers: it is absent or mute.
//!
//! The ring is healthy and the carrier carries no modulation although the recording would have shown one.

use super::Profile;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::KeySilent,
    prior: 0.1,
    key: [0.003, 0.06, 0.003, 0.934],
    sentence: "The field is healthy but no key answers: the key's transponder is absent, broken or out of reach.",
    next: &[
        (
            "Capture again with a key that is known to work in this lock.",
            "It answers: the first key's transponder is broken or missing. It does not: look at the ring's position and at metal near it.",
        ),
        (
            "Hold the silent key in another, working lock of the same kind and capture there.",
            "It answers there: the key is sound and this lock's field does not reach it.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
