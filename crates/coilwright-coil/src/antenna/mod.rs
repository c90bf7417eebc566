//! The antenna circuit: tuning, driven tank, bandwidth against bit rate, field and key, pickup coil at its input.
//!
//! Fields: the axial formula is Biot and Savart's, as in Microchip's application note AN678 (second hand). A driven tank holds
//! hundreds of volts; do not touch it, and keep fields of such strength from people with implants.

mod bandwidth;
mod key;
mod listener;
mod tuning;

pub use bandwidth::{BitRateFit, bit_rate_fit};
pub use key::{
    KeyCoil, ampere_turns_for, axial_field_tesla, best_radius_m, coaxial_volt, energising_range_m,
    field_for_volt, key_volt,
};
pub use listener::{Listener, ListenerState};
pub use tuning::{DrivenRing, DrivenState, Tank, tuning_farad};
