//! Whole captures with a named fault and their truth.
//!
//! A [`Setup`] is everything that makes one capture: circuit, drive, keys and recorder. A [`Scenario`] is a setup
//! with a [`Fault`], a seed and perhaps a healthy reference; [`Scenario::random`] draws one, and every field is
//! public so that one can be made by hand.

mod fault;
mod key_choice;
mod random;
mod recorder;
mod setup;
mod truth;

pub use fault::Fault;
pub use key_choice::{KeyChoice, KeyModulation};
pub use recorder::{AntiAlias, Recorder};
pub use setup::{Scenario, Setup, Simulated};
pub use truth::{
    Depth, EdgeKind, EdgeTruth, FrameTruth, KeyTruth, RecorderTruth, ReplyTruth, RingTruth, Truth,
};
