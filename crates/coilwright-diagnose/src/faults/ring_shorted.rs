//! The ring's terminals are shorted.
//!
//! The capacitor stays with the driver and the coil carries almost nothing: millivolts against volts, a strong third harmonic,
//! no ring-down at the edges. Much like an open ring at the pickup.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::RingShorted,
    prior: 0.03,
    field: [0.6, 0.2, 0.2],
    level_db: &[normal(1.0, -48.0, 15.0)],
    third_harmonic_db: &[normal(1.0, 2.0, 8.0)],
    ring: [0.25, 0.1, 0.47, 0.18],
    detuning: &[normal(1.0, 0.0, 0.3)],
    ln_q: &[normal(1.0, 1.2, 1.0)],
    key: [0.01, 0.01, 0.005, 0.975],
    dropouts: [0.95, 0.04, 0.01],
    interference: [0.7, 0.2, 0.1],
    recording: [0.75, 0.17, 0.08],
    against_level: &[normal(1.0, -4.0, 1.5)],
    against_resonance: &[normal(1.0, 0.0, 0.3)],
    against_q: &[normal(1.0, 0.0, 1.0)],
    sentence: "Next to no field although the drive runs: the antenna ring looks shorted (or open).",
    cannot_split: "One capture cannot surely tell a shorted ring from an open one: both leave millivolts. An ohmmeter on the unplugged ring can.",
    next: &[
        (
            "Switch the drive off, unplug the ring and measure it with an ohmmeter, then measure the lead alone.",
            "Near zero ohms: shorted; the lead alone near zero: the short is in the lead. No reading: it is open instead.",
        ),
        (
            "With the ring unplugged, look for a pinched lead and a crushed connector.",
            "A visible pinch saves a new ring.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
