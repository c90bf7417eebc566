//! The drive is weak against a known-good capture.
//!
//! A weak drive lowers the level and leaves the resonance where it is; a higher source resistance lowers Q as well. The level
//! at the pickup depends on where it is held, so this needs a known-good capture taken at the same place.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::DriveWeak,
    prior: 0.05,
    level_db: &[normal(1.0, -18.0, 9.0)],
    against_level: &[normal(1.0, -1.1, 0.45)],
    against_q: &[normal(0.5, 0.0, 0.12), normal(0.5, -0.6, 0.5)],
    sentence: "The field is weaker than in the known-good capture, although the ring is in tune: the drive is weak.",
    cannot_split: "Without a known-good capture from the same place a weak drive looks like a pickup coil held further away.",
    next: &[
        (
            "Measure the driver's supply voltage while it drives, at the driver.",
            "Low: mend the supply. Usual: measure the drive's output and the resistance of plug and lead.",
        ),
        (
            "Repeat both captures with the pickup coil fixed at the same place.",
            "The ratio stays: it is the drive. It changes: it was the pickup's place.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
