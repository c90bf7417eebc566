//! What a recorder adds to the voltage of the pickup coil.
//!
//! Each file holds one impairment that works in place on samples in volts. [`Recorder`](crate::scenario::Recorder)
//! applies them in the order of a real signal chain: interference and noise, gain control, clipping and
//! quantisation, lost samples.

mod clip;
mod drop;
mod gain_control;
mod high_pass;
mod hum;
mod line;
mod low_pass;
mod noise;
mod quantise;

pub use clip::clip;
pub use drop::drop_samples;
pub use gain_control::GainControl;
pub use high_pass::high_pass;
pub use hum::Hum;
pub use line::Line;
pub use low_pass::decimate;
pub use noise::{NoiseBurst, add_noise};
pub use quantise::quantise;
