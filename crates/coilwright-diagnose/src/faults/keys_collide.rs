//! Two keys answer at once.
//!
//! Two load modulations add up on one clock: the deviation shows four levels and neither frame passes its checks, or only
//! the stronger one's does.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::KeysCollide,
    prior: 0.04,
    field: [0.985, 0.01, 0.005],
    level_db: &[normal(0.9, -8.0, 6.0), normal(0.1, -20.0, 10.0)],
    third_harmonic_db: &[normal(0.85, -30.0, 7.0), normal(0.15, -14.0, 6.0)],
    carrier_offset: &[normal(1.0, 0.0, 0.004)],
    ring: [0.94, 0.01, 0.05],
    detuning: &[normal(0.85, 0.0, 0.012), normal(0.15, 0.0, 0.03)],
    ln_q: &[normal(1.0, 2.64, 0.6)],
    key: [0.15, 0.15, 0.68, 0.02],
    ln_depth: &[normal(1.0, -3.4, 1.0)],
    dropouts: [0.97, 0.025, 0.005],
    interference: [0.9, 0.09, 0.01],
    recording: [0.93, 0.06, 0.01],
    against_level: &[normal(1.0, 0.0, 0.12)],
    against_resonance: &[normal(1.0, 0.0, 0.008)],
    against_q: &[normal(1.0, 0.0, 0.12)],
    sentence: "Two keys answer at once and disturb each other.",
    cannot_split: "",
    next: &[(
        "Take all other keys and tags off the ring and capture again with one key.",
        "It reads: the other key was in the way.",
    )],
};
