//! What is wrong with the recording itself: clipping, dropouts, DC, hum, interference, quantisation.
//!
//! [`QualityMeter`] reads the capture block by block. What needs every sample (extremes, sums, stuck and repeated
//! samples) is one vectorised pass; what is expensive (spectrum, distinct values) is taken from at most 16 stretches
//! spread over the capture. [`phase_jumps`] finds lost samples in a complex baseband.

mod clipping;
mod findings;
mod hum;
mod interference;
mod kernel;
mod meter;
mod phase_jumps;
mod quantisation;
mod repeats;
mod result;
mod stretches;
mod stuck;

pub use meter::QualityMeter;
pub use phase_jumps::{PhaseJump, phase_jumps};
pub use result::{
    Clipping, Hum, InterferenceLine, LostSamples, Quality, QualityFinding, QualityKind,
    QualityUnit, Quantisation,
};
