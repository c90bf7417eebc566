//! Field and key are healthy.
//!
//! A working ring is tuned within a few per cent of its carrier and has a loaded Q between about 5 and 40; its square-wave
//! drive leaves a third harmonic near -30 dB at the pickup. A key within the ring modulates the carrier by 0.5 to 17 % peak to
//! peak. (Populations: coupled-circuit simulation; the ranges of Q and tuning are common practice, no source.)

use super::Profile;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::None,
    prior: 0.2,
    sentence: "Field, antenna ring and key look healthy: the pairing data is next.",
    next: &[
        (
            "Have the pairing of this key with the interlock checked, by the maker's procedure.",
            "A healthy key that is not paired is refused although all of this works.",
        ),
        (
            "Repeat the capture with the key turned and held as the customer does.",
            "A fault that comes and goes shows only when it is there.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
