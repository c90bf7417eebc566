//! No key answers: it is absent or mute.
//!
//! The ring is healthy and the carrier carries no modulation although the recording would have shown one.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::KeySilent,
    prior: 0.1,
    field: [0.985, 0.01, 0.005],
    level_db: &[normal(0.9, -8.0, 6.0), normal(0.1, -20.0, 10.0)],
    third_harmonic_db: &[normal(0.85, -30.0, 7.0), normal(0.15, -14.0, 6.0)],
    carrier_offset: &[normal(1.0, 0.0, 0.004)],
    ring: [0.94, 0.01, 0.05],
    detuning: &[normal(0.85, 0.0, 0.012), normal(0.15, 0.0, 0.03)],
    ln_q: &[normal(1.0, 2.64, 0.6)],
    key: [0.003, 0.06, 0.003, 0.934],
    ln_depth: &[normal(1.0, -3.4, 1.0)],
    dropouts: [0.97, 0.025, 0.005],
    interference: [0.9, 0.09, 0.01],
    recording: [0.93, 0.06, 0.01],
    against_level: &[normal(1.0, 0.0, 0.12)],
    against_resonance: &[normal(1.0, 0.0, 0.008)],
    against_q: &[normal(1.0, 0.0, 0.12)],
    sentence: "The field is healthy but no key answers: the key's transponder is absent, broken or out of reach.",
    cannot_split: "",
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
};
