//! Interference hides the key or the field.
//!
//! A switch-mode converter's harmonic near the carrier, or broadband bursts, hide a modulation of a few per cent.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::Interference,
    prior: 0.04,
    field: [0.95, 0.04, 0.01],
    level_db: &[normal(0.9, -8.0, 6.0), normal(0.1, -20.0, 10.0)],
    third_harmonic_db: &[normal(0.85, -30.0, 7.0), normal(0.15, -14.0, 6.0)],
    carrier_offset: &[normal(1.0, 0.0, 0.004)],
    ring: [0.75, 0.03, 0.22],
    detuning: &[normal(0.85, 0.0, 0.012), normal(0.15, 0.0, 0.03)],
    ln_q: &[normal(1.0, 2.64, 0.6)],
    key: [0.5, 0.2, 0.03, 0.27],
    ln_depth: &[normal(1.0, -3.4, 1.0)],
    dropouts: [0.6, 0.3, 0.1],
    interference: [0.05, 0.2, 0.75],
    recording: [0.4, 0.2, 0.4],
    against_level: &[normal(1.0, 0.0, 0.12)],
    against_resonance: &[normal(1.0, 0.0, 0.008)],
    against_q: &[normal(1.0, 0.0, 0.12)],
    sentence: "Interference near the carrier is strong enough to hide a key's answer.",
    cannot_split: "",
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
};
