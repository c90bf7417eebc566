//! The carrier is off its nominal frequency.
//!
//! A crystal or its divider keeps the carrier within a few hundred parts per million; several per cent off is a fault of
//! the driver's clock, or a capture whose stated sample rate is wrong.

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::CarrierOff,
    prior: 0.03,
    field: [0.985, 0.01, 0.005],
    level_db: &[normal(0.9, -8.0, 6.0), normal(0.1, -20.0, 10.0)],
    third_harmonic_db: &[normal(0.85, -30.0, 7.0), normal(0.15, -14.0, 6.0)],
    carrier_offset: &[normal(0.5, -0.06, 0.03), normal(0.5, 0.06, 0.03)],
    ring: [0.94, 0.01, 0.05],
    detuning: &[normal(0.5, -0.06, 0.035), normal(0.5, 0.06, 0.035)],
    ln_q: &[normal(1.0, 2.64, 0.6)],
    key: [0.75, 0.08, 0.005, 0.165],
    ln_depth: &[normal(1.0, -3.4, 1.0)],
    dropouts: [0.97, 0.025, 0.005],
    interference: [0.9, 0.09, 0.01],
    recording: [0.93, 0.06, 0.01],
    against_level: &[normal(1.0, 0.0, 0.12)],
    against_resonance: &[normal(1.0, 0.0, 0.008)],
    against_q: &[normal(1.0, 0.0, 0.12)],
    sentence: "The carrier is off its nominal frequency: the driver's clock is wrong, or the capture's sample rate is not what the file says.",
    cannot_split: "",
    next: &[
        (
            "Record a tone of known frequency with the same recorder and check it.",
            "It is off by the same share: the stated sample rate is wrong. It is right: the driver's clock is off.",
        ),
        (
            "Have the driver's clock source checked by the maker's procedure.",
            "A wrong or free-running clock makes keys read badly or not at all.",
        ),
    ],
};
