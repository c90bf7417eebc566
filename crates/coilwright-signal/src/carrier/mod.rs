//! Finding and measuring the carrier.

mod linear;
mod model;
mod spectrum;
mod tone;

pub use model::{Carrier, SignalKind};
pub use tone::{Tone, estimate_tone};
