//! Line codes and check codes: bits to half-bit levels and back.
//!
//! Bits and levels are `u8` values 0 or 1 (any other value counts as 1). A bit becomes two half-bit levels, first
//! half first. A *soft* half-bit is an `f32` that is positive for level 1 and whose size says how sure it is; a
//! *soft* bit likewise is positive for bit 1.

pub mod biphase;
pub mod crc;
pub mod differential_biphase;
mod line_code;
pub mod manchester;
pub mod miller;
pub mod nrz;
pub mod parity;
mod phase_change;
mod trellis;

pub use line_code::LineCode;
pub use phase_change::PhaseChange;
pub(crate) use trellis::Expected;
