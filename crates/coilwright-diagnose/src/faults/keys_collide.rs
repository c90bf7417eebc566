//! Two keys answer at once.
//!
//! Two load modulations add up on one clock: the deviation shows four levels and neither frame passes its checks, or only
//! the stronger one's does.

use super::Profile;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::KeysCollide,
    prior: 0.04,
    key: [0.15, 0.15, 0.68, 0.02],
    sentence: "Two keys answer at once and disturb each other.",
    next: &[(
        "Take all other keys and tags off the ring and capture again with one key.",
        "It reads: the other key was in the way.",
    )],
    ..Profile::WORKING_LOCK
};
