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
    field: [0.985, 0.01, 0.005],
    level_db: &[normal(1.0, -18.0, 9.0)],
    third_harmonic_db: &[normal(0.85, -30.0, 7.0), normal(0.15, -14.0, 6.0)],
    carrier_offset: &[normal(1.0, 0.0, 0.004)],
    ring: [0.94, 0.01, 0.05],
    detuning: &[normal(0.85, 0.0, 0.012), normal(0.15, 0.0, 0.03)],
    ln_q: &[normal(1.0, 2.64, 0.6)],
    key: [0.95, 0.025, 0.005, 0.02],
    ln_depth: &[normal(1.0, -3.4, 1.0)],
    dropouts: [0.97, 0.025, 0.005],
    interference: [0.9, 0.09, 0.01],
    recording: [0.93, 0.06, 0.01],
    against_level: &[normal(1.0, -1.1, 0.45)],
    against_resonance: &[normal(1.0, 0.0, 0.008)],
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
};
