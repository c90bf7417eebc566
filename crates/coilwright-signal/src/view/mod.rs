//! What was decoded, made visible as plain arrays: spectrum, eye, timing and constellation.
//!
//! Each view is computed from what [`listen`](crate::demodulate::listen) returned, with
//! [`ListenOptions::keep_baseband`](crate::demodulate::ListenOptions) set, and from the samples that it was given. The
//! arrays are for plots; nothing is decided from them.

mod best;
mod carrier_lines;
mod constellation;
mod eye;
mod grid;
mod half_bits;
mod heard;
mod line;
mod peaks;
mod spectrum;
mod timing;

pub use best::BestStretch;
pub use constellation::{Axes, Constellation};
pub use eye::Eye;
pub use half_bits::half_bit_signs;
pub use heard::{Heard, KeyViews, Views};
pub use line::{LabelledLine, LineKind};
pub use spectrum::Spectrum;
pub use timing::Timing;
