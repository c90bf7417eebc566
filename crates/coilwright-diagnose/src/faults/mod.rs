//! The faults, one file each: what each does to the measurements, and what to say and do about it.

mod cannot_tell;
mod carrier_off;
mod drive_weak;
mod interference;
mod joint_intermittent;
mod key_silent;
mod key_weak;
mod keys_collide;
mod metal_near;
mod no_field;
mod none;
mod page;
mod profile;
mod ring_shorted;
mod tuning_drifted;
mod turns_shorted;

pub use page::fault_pages;
pub(crate) use profile::Profile;

use crate::result::Fault;

/// The profiles of all faults that one capture can point at.
///
/// `ring_open` and `not_driven` have none: a capture cannot split them, so they stay `no_field`.
pub(crate) const PROFILES: [&Profile; 14] = [
    &none::PROFILE,
    &no_field::PROFILE,
    &ring_shorted::PROFILE,
    &turns_shorted::PROFILE,
    &metal_near::PROFILE,
    &tuning_drifted::PROFILE,
    &drive_weak::PROFILE,
    &joint_intermittent::PROFILE,
    &carrier_off::PROFILE,
    &key_silent::PROFILE,
    &key_weak::PROFILE,
    &keys_collide::PROFILE,
    &interference::PROFILE,
    &cannot_tell::PROFILE,
];

/// The profile of a fault; `ring_open` and `not_driven` share that of `no_field`.
pub(crate) fn profile_of(fault: Fault) -> &'static Profile {
    match fault {
        Fault::None => &none::PROFILE,
        Fault::NoField | Fault::RingOpen | Fault::NotDriven => &no_field::PROFILE,
        Fault::RingShorted => &ring_shorted::PROFILE,
        Fault::TurnsShorted => &turns_shorted::PROFILE,
        Fault::MetalNear => &metal_near::PROFILE,
        Fault::TuningDrifted => &tuning_drifted::PROFILE,
        Fault::DriveWeak => &drive_weak::PROFILE,
        Fault::JointIntermittent => &joint_intermittent::PROFILE,
        Fault::CarrierOff => &carrier_off::PROFILE,
        Fault::KeySilent => &key_silent::PROFILE,
        Fault::KeyWeak => &key_weak::PROFILE,
        Fault::KeysCollide => &keys_collide::PROFILE,
        Fault::Interference => &interference::PROFILE,
        Fault::CannotTell => &cannot_tell::PROFILE,
    }
}
