//! Finding and measuring the carrier.
//!
//! [`recognise`] tells the nature of a signal from the head of a capture and finds the carrier; [`estimate_tone`]
//! measures a tone at the Cramér–Rao bound.

mod candidate;
mod fold;
mod linear;
mod model;
mod recognise;
mod spectrum;
mod tone;

pub use candidate::Candidate;
pub use fold::folded_hz;
pub(crate) use linear::solve;
pub use model::{Carrier, SignalKind};
pub use recognise::{CarrierOptions, Recognition, recognise};
pub use tone::{Tone, estimate_tone};
