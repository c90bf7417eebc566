//! From a stretch of samples with the field on to soft bits and frames.
//!
//! [`listen`] measures the carrier, looks for the modulation of a key along its own axis in the plane of in-phase
//! and quadrature, finds the bit length among multiples of the carrier period, and decodes.

mod axis;
mod band;
mod class;
mod clock;
mod collision;
mod deviation;
mod fit;
mod folding;
mod follow;
mod half_duplex;
mod harmonics;
mod key;
mod levels;
mod lines;
mod listen;
mod model;
mod modulation;
mod rate;
mod read;
mod rest;
mod search;
mod sequence;
mod signal;
mod soft;
mod subcarrier;
mod taken;
mod timing;
mod way;
mod weight;

pub use crate::code::{LineCode, PhaseChange};
pub use half_duplex::listen_in_pause;
pub use listen::listen;
pub use model::{
    Baseband, BitTimes, CodeReading, Collision, Detection, Expected, FrameRead, KeyRead, Line,
    ListenOptions, Listening, Look, Plane,
};
pub use modulation::Modulation;
