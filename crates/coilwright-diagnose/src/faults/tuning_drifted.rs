//! The ring's tuning has drifted.
//!
//! A capacitor that has lost or gained capacitance moves the resonance either way and leaves the ring's losses, so Q changes
//! little. A lowered resonance with a usable edge is drift; a raised one may also be metal, which lowers Q more.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::TuningDrifted,
    prior: 0.06,
    level_db: &[normal(1.0, -14.0, 8.0)],
    ring: [0.93, 0.005, 0.035, 0.03],
    detuning: &[normal(0.5, -0.075, 0.035), normal(0.5, 0.075, 0.035)],
    ln_q: &[normal(1.0, 2.6, 0.6)],
    key: [0.75, 0.06, 0.005, 0.185],
    against_level: &[normal(1.0, -0.8, 0.6)],
    against_resonance: &[normal(0.5, -0.075, 0.035), normal(0.5, 0.075, 0.035)],
    against_q: &[normal(1.0, 0.03, 0.08)],
    sentence: "The antenna ring is off tune: its tuning capacitor (or the ring's inductance) has drifted.",
    cannot_split: "A raised resonance can also be metal near the ring; without a known-good capture only removing the metal tells.",
    next: &[
        (
            "Measure the tuning capacitor against its marked value, with the drive off and one lead lifted.",
            "Out of tolerance: replace the capacitor. In tolerance: measure the ring's inductance.",
        ),
        (
            "Capture again with all metal away from the ring.",
            "The resonance stays off: it is the tuning. It returns: it was metal.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
