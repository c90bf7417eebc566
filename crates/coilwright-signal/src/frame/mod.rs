//! Published frames: layout, checks, encoding for tests and simulation, and decoding.
//!
//! Bits are `u8` values 0 or 1 in the order in which they are sent.

pub mod fdx_b;
mod model;
pub mod read_only_64;

pub use fdx_b::FdxB;
pub use model::{Check, Frame, FrameFields, FrameKind};
pub use read_only_64::ReadOnly64;
