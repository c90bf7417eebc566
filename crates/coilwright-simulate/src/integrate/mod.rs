//! Exact stepping from switch event to switch event.
//!
//! Between two events the circuit is linear and its input a constant (square drive) or a sinusoid, so the solution
//! is known in closed form: in modal coordinates each mode is multiplied by `exp(λ τ)` and a change `Δu` of the drive
//! adds `Δu · d/λ`. Nothing is approximated but the rounding; the sample grid need not align with the drive's edges.
//!
//! [`Schedule`] says what happens when, [`simulate`] returns the sampled voltage or current.

mod clamp;
mod drive;
mod engine;
mod propagator;
mod schedule;
mod tone;

pub use drive::{Drive, GatePhase, Waveform};
pub use engine::{Trace, simulate};
pub(crate) use schedule::Segment;
pub use schedule::{Change, Schedule, SwitchEvent};
pub use tone::Tone;
