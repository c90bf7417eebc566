//! Coupled-circuit simulator that makes pickup-coil captures with known truth.
//!
//! [`circuit`] describes the driver, the ring, key coils, closed metal loops and the pickup coil and turns them into
//! a linear state-space system; [`integrate`] steps it exactly from switch event to switch event; [`modulate`]
//! switches the key's load in step with the carrier; [`detector`] and [`impair`] add what a recorder adds; [`scenario`] draws whole
//! captures with a named fault and their truth; [`write()`] puts both on disk. [`spice`] writes
//! the same circuit for a second simulator.
//!
//! All physics is in SI base units and `f64`; samples are `f32`. Everything random is seeded: the same scenario gives
//! the same samples on every machine that has the same elementary functions.

pub mod circuit;
pub mod detector;
mod error;
pub mod impair;
pub mod integrate;
pub mod modulate;
pub mod scenario;
pub mod spice;
mod write;

pub use error::SimulateError;
pub use scenario::{Fault, Scenario, Setup, Simulated, Truth};
pub use write::{Written, write};
