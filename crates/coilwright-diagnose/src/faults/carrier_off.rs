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
    carrier_offset: &[normal(0.5, -0.06, 0.03), normal(0.5, 0.06, 0.03)],
    detuning: &[normal(0.5, -0.06, 0.035), normal(0.5, 0.06, 0.035)],
    key: [0.75, 0.08, 0.005, 0.165],
    sentence: "The carrier is off its nominal frequency: the driver's clock is wrong, or the capture's sample rate is not what the file says.",
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
    ..Profile::WORKING_LOCK
};
