//! Resonance and Q from an injected signal: a sound card or generator plays, a pickup listens, both are recorded.

mod fit;
mod points;
mod spectra;
mod stimulus;
mod sums;
mod transfer;

pub use fit::{InjectionFit, fit_injection};
pub use stimulus::{Stimulus, StimulusPlan, highest_playable_hz, make_stimulus};
pub use transfer::{TransferBand, TransferEstimator, TransferPoint, transfer_function};

pub(crate) use stimulus::check_card;
