//! Resonance and Q from a sweep of amplitudes: a peak, a dip, or both side by side.

mod choice;
mod fit;
mod model;
mod options;
mod result;

pub use fit::fit_amplitude_sweep;
pub use options::{SweepOptions, SweepShape};
pub use result::SweepFit;
