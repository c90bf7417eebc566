//! Frames in soft values: where they begin, in which polarity, and with their weak bits put right where the checks of
//! the frame make that sure.
//!
//! A soft value is a log-likelihood ratio, ln P(1) / P(0) of what was received for the value: positive for 1. It may
//! come from any demodulator. Frames are looked for as they are; where none passes its checks, the repeats are added
//! up and decoded softly. A frame with corrected bits is reported only when it beats every other frame, and bits at
//! random, by a margin (see `docs/limits-signal.md` for how often that is wrong).

mod chase;
mod decode;
mod fold;
mod hits;
mod logarithm;
mod problem;
mod read;
mod repetition;
mod trellis;
mod values;

pub use read::{FrameHit, FramesRead, read};
pub use repetition::Repetition;
pub use values::{Coding, SoftValues};
