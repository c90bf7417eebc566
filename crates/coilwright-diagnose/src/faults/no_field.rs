//! No field: the ring is open, or it is not driven.
//!
//! An open ring carries no current at the carrier; what is left at the pickup is residue from the driver's edges, with the
//! third harmonic about as strong as the fundamental (-13 to +16 dB). Without drive there is no line at all. A capture cannot
//! split open from shorted, and a weak residue does not prove a drive (field notes of simulated and ngspice circuits).

use super::Profile;
use crate::density::normal;
use crate::result::Fault;

pub(super) const PROFILE: Profile = Profile {
    fault: Fault::NoField,
    prior: 0.12,
    field: [0.4, 0.2, 0.4],
    level_db: &[normal(1.0, -50.0, 15.0)],
    third_harmonic_db: &[normal(1.0, 4.0, 8.0)],
    carrier_offset: &[normal(0.9, 0.0, 0.004), normal(0.1, 0.0, 0.05)],
    ring: [0.42, 0.07, 0.48, 0.03],
    detuning: &[normal(1.0, 0.0, 0.3)],
    ln_q: &[normal(1.0, 1.5, 1.2)],
    key: [0.005, 0.01, 0.005, 0.98],
    dropouts: [0.9, 0.08, 0.02],
    interference: [0.6, 0.25, 0.15],
    recording: [0.7, 0.2, 0.1],
    against_level: &[normal(1.0, -4.5, 1.8)],
    against_resonance: &[normal(1.0, 0.0, 0.3)],
    against_q: &[normal(1.0, 0.0, 1.0)],
    sentence: "No usable field: the antenna ring is open or is not driven.",
    cannot_split: "One capture cannot tell an open ring from a ring that is not driven, nor surely from a shorted one: all leave next to no field. An ohmmeter or an injection test on the unplugged ring can.",
    next: &[
        (
            "Switch the drive off, unplug the ring and measure it with an ohmmeter: a sound ring has a few ohms to a few tens of ohms.",
            "Open (no reading): the ring or its lead is broken. Near zero: it is shorted. A usual value: the ring is sound and the drive is missing.",
        ),
        (
            "With the ring unplugged, inject a sweep or a ping into it and record the answer.",
            "A resonance near the carrier proves ring and capacitor sound; then look at the drive, its supply and its wake-up signal.",
        ),
    ],
    ..Profile::WORKING_LOCK
};
