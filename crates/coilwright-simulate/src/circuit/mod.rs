//! The coupled circuits: driver, ring, keys, closed loops and pickup coil.
//!
//! ```text
//!  driver                 cable       joint
//!  u ─ R_source ─ L_lead ─┬─ L_lead ─ C ─ R‖C_gap ─┬─ R ─ L ─┐    ring coil ~~~ key coil ‖ C ‖ load
//!                         C_cable‖R_short          C_stray‖R_short ~~~ pickup coil ‖ C ‖ load
//!  └──────────────────────┴────────────────────────┴─────────┘    ~~~ closed loops (metal, shorted turns)
//! ```
//!
//! A [`Circuit`] is plain data. Together with a [`Configuration`] (which switches are closed) it makes a linear
//! [`StateSpace`] from which come [`Pole`]s and the steady state.

mod assemble;
mod configuration;
mod elements;
mod modes;
mod phasor;
mod poles;

pub use assemble::{State, StateSpace};
pub use configuration::{Configuration, DriverSwitch, KeySwitch};
pub use elements::{Circuit, ClosedLoop, Driver, Joint, Key, Pickup, Ring};
pub(crate) use modes::Modes;
pub use poles::Pole;
