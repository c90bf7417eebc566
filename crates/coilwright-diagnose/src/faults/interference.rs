//! Interference hides the key or the field.
//!
//! A switch-mode converter's harmonic near the carrier, or broadband bursts, hide a modulation of a few per cent.

use super::Profile;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::Interference,
    prior: 0.04,
    field: [0.95, 0.04, 0.01],
    ring: [0.74, 0.03, 0.2, 0.03],
    key: [0.5, 0.2, 0.03, 0.27],
    dropouts: [0.6, 0.3, 0.1],
    interference: [0.05, 0.2, 0.75],
    recording: [0.4, 0.2, 0.4],
    sentence: "Interference near the carrier is strong enough to hide a key's answer.",
    next: &[
        (
            "Capture again with nearby converters, chargers and lamps switched off, one after the other.",
            "The line disappears with its source.",
        ),
        (
            "Turn or move the pickup coil so that the disturbing line is weakest.",
            "The line weakens and the carrier does not: the source is elsewhere.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
