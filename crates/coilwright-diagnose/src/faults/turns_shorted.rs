//! Turns of the ring are shorted.
//!
//! A shorted turn is a closed loop coupled tightly to all others: even 1 % of the turns takes loaded Q from 14 to about 2,
//! and raises the resonance. At the edges the transient dies within a cycle or so.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::TurnsShorted,
    prior: 0.05,
    field: [0.75, 0.15, 0.1],
    level_db: &[normal(1.0, -30.0, 13.0)],
    third_harmonic_db: &[normal(0.5, 0.0, 9.0), normal(0.5, -14.0, 10.0)],
    ring: [0.32, 0.12, 0.41, 0.15],
    detuning: &[normal(0.5, 0.1, 0.15), normal(0.5, 0.3, 0.3)],
    ln_q: &[normal(0.8, 0.7, 0.5), normal(0.2, 1.6, 0.5)],
    key: [0.3, 0.1, 0.005, 0.595],
    ln_depth: &[normal(1.0, -4.5, 1.2)],
    against_level: &[normal(1.0, -3.0, 1.4)],
    against_resonance: &[normal(0.6, 0.06, 0.06), normal(0.4, 0.2, 0.2)],
    against_q: &[normal(1.0, -1.6, 0.6)],
    sentence: "The antenna ring is heavily damped: turns are shorted, or metal lies very close.",
    cannot_split: "Shorted turns and metal near the ring are both closed loops; one capture cannot tell them apart. Removing the metal can.",
    next: &[
        (
            "Take every piece of metal away from the ring (key-ring, collar, bracket) and capture again.",
            "Q and resonance return to usual: it was the metal. They stay: turns of the ring are shorted.",
        ),
        (
            "Measure the unplugged ring with an ohmmeter and against a known-good ring of the same kind.",
            "Shorted turns lower the resistance by their share; metal does not change it.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
