//! Field and key are healthy.
//!
//! A working ring is tuned within a few per cent of its carrier and has a loaded Q between about 5 and 40; its square-wave
//! drive leaves a third harmonic near -30 dB at the pickup. A key within the ring modulates the carrier by 0.5 to 17 % peak to
//! peak. (Populations: coupled-circuit simulation; the ranges of Q and tuning are common practice, no source.)

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::None,
    prior: 0.2,
    field: [0.985, 0.01, 0.005],
    level_db: &[normal(0.9, -8.0, 6.0), normal(0.1, -20.0, 10.0)],
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
    against_level: &[normal(1.0, 0.0, 0.12)],
    against_resonance: &[normal(1.0, 0.0, 0.008)],
    against_q: &[normal(1.0, 0.0, 0.12)],
    sentence: "Field, antenna ring and key look healthy: the pairing data is next.",
    cannot_split: "",
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
};
