//! Measures a capture in one pass: quality, carrier, activity, ring and keys, in bounded memory.

mod assemble;
mod downlink;
mod field;
mod harmonic;
mod keys;
mod listener;
mod measured;
mod passage;
mod phase_steps;
mod piece;
mod ping;
mod pole;
mod ring;
mod segments;
mod stretches;
mod survey;
mod tracker;

pub(crate) use measured::{ListeningSummary, Measured};
pub use passage::Passage;
pub use survey::Progress;
pub(crate) use survey::measure;
