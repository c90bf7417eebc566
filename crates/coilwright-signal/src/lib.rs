//! Captures from a pickup coil and what can be read from them.
//!
//! A [`capture`] holds samples together with their rate. [`carrier`] finds the tone that energises the key,
//! [`dsp`] brings it down to baseband, [`demodulate`] turns the baseband into soft bits, [`code`] holds the line
//! codes and [`frame`] the published frames; [`downlink`] reads the gaps by which a reader speaks. [`activity`] finds when the field is on, [`quality`] tells what is
//! wrong with the recording itself. [`view`] makes what was decoded visible as plain arrays, [`export`] writes it for
//! other programs, and [`table`] reads what network analysers and impedance meters export.
//!
//! Sign, scaling, bit order and edge conventions stand in `docs/conventions.md`.

pub mod activity;
pub mod capture;
pub mod carrier;
pub mod code;
pub mod demodulate;
pub mod downlink;
pub mod dsp;
pub mod export;
pub mod frame;
pub mod quality;
pub mod table;
pub mod view;

mod estimate;
mod span;

pub use estimate::Estimate;
pub use span::Span;
