//! Resonance and Q of a driven ring from the edges of its own carrier.

mod edges;
mod lines;
mod ring_mode;
mod settled;
mod turn_off;
mod turn_on;

pub use edges::{EdgeOutcome, EdgesFit, PoleComparison, ReportedPole, RingPole, fit_edges};
pub use turn_off::{TailFreedom, TurnOffFit, fit_turn_off};
pub use turn_on::{TurnOnFit, fit_turn_on};
