//! Finding and measuring the carrier.

mod linear;
mod spectrum;
mod tone;

pub use tone::{Tone, estimate_tone};
