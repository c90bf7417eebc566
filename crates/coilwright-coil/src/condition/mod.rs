//! Condition of a coil: sound, open, shorted, turns shorted, capacitor drifted, metal near, or cannot tell.
//!
//! Each condition is a physical change of inductance, capacitance and resistance with unknown sizes. [`judge_coil`] predicts what each would make of the
//! numbers that were measured, weighs the predictions by how well they fit, and returns probabilities with the findings behind them.

mod capacitor_drifted;
mod died_away;
mod evidence;
mod finding;
mod hypothesis;
mod judge;
mod likelihood;
mod limited;
mod metal_near;
mod number;
mod open;
mod other;
mod shorted;
mod sound;
mod standard;
mod state;
mod turns_shorted;

pub use died_away::died_away;
pub use evidence::{CoilEvidence, CoilNumbers, Ringing};
pub use finding::{Finding, Side};
pub use judge::{CoilVerdict, Condition, Likely, judge_coil};
pub use number::Number;
pub use standard::{Design, Limits, Range, Standard, Toleranced};
