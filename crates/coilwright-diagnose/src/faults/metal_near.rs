//! Metal near the ring spoils the field.
//!
//! Eddy currents in a closed metal loop lower the ring's inductance, so the resonance rises, and add loss, so Q falls. Even a
//! lossless loop lowers Q / f0 by twice the shift in ln f0. Metal that raises f0 by less than 3 % often looks like nothing.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::MetalNear,
    prior: 0.08,
    level_db: &[normal(1.0, -13.0, 8.0)],
    ring: [0.85, 0.04, 0.08, 0.03],
    detuning: &[normal(0.6, 0.05, 0.03), normal(0.4, 0.1, 0.05)],
    ln_q: &[normal(1.0, 2.4, 0.6)],
    key: [0.72, 0.08, 0.005, 0.195],
    against_level: &[normal(1.0, -0.5, 0.5)],
    against_resonance: &[normal(1.0, 0.045, 0.03)],
    against_q: &[normal(0.7, -0.1, 0.12), normal(0.3, -0.5, 0.3)],
    sentence: "The ring's resonance is raised and damped: metal lies near the ring (or a few turns are shorted).",
    cannot_split: "Metal near the ring and shorted turns are both closed loops; one capture cannot tell them apart. Removing the metal can.",
    next: &[
        (
            "Take every piece of metal away from the ring (steel key-ring, decorative collar, bracket) and capture again.",
            "Resonance and Q return to usual: it was the metal. They stay: suspect shorted turns or a wrong capacitor.",
        ),
        (
            "Slide the suspected part on and off the lock while recording.",
            "The level follows the part: that part is the cause.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
