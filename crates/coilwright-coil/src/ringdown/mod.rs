//! Resonance and Q from a free decay: maximum likelihood of damped sinusoids and DC in white noise.

mod fit;
mod options;
mod order;
mod prepare;
mod report;
mod residual;
mod result;
mod start;

pub use fit::fit_ring_down;
pub use options::{ModeCount, RingDownOptions};
pub use result::{Component, FitWarning, FittedRecord, Goodness, Mode, Residual, RingDownFit};

pub(crate) use order::{Chosen, choose};
pub(crate) use prepare::{Prepared, prepare};
pub(crate) use report::report;
