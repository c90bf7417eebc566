//! Published frames: layout, checks, encoding for tests and simulation, and decoding.
//!
//! Bits are `u8` values 0 or 1 in the order in which they are sent. [`soft`] finds frames in soft values, whatever
//! they were demodulated from. A new kind of frame is a file with its layout and an entry in `layout`.

pub mod fdx_b;
pub mod hdx;
mod iso_11784;
mod layout;
mod model;
pub mod read_only_64;
pub mod sia_26;
pub mod soft;

pub use fdx_b::FdxB;
pub use iso_11784::{Iso11784, Issuer};
pub use model::{Check, Frame, FrameFields, FrameKind};
pub use read_only_64::ReadOnly64;
pub use sia_26::Sia26;
