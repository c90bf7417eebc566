//! Resonance and Q of a driven ring from the edges of its own carrier.

mod lines;
mod turn_off;
mod turn_on;

pub use turn_off::{TailFreedom, TurnOffFit, fit_turn_off};
pub use turn_on::{TurnOnFit, fit_turn_on};
