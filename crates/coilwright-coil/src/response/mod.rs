//! One resonance in a complex frequency response: `S(f) = b(f) + a u^k / (1 + jQ(f/f₀ − f₀/f))`.
//!
//! The fraction is exact for a series circuit's current and for a parallel circuit's voltage, at any Q. Its pole pair is that of
//! `s² + s ω₀/Q + ω₀²`, so `f₀` is the undamped resonance and `Q = ω₀/2α`, both loaded with all that was connected.

mod fit;
mod model;
mod options;
mod points;
mod real;
mod result;
mod start;

pub use fit::fit_response;
pub use options::{Background, FeedLine, Quantity, ResponseOptions, Weighting};
pub use result::ResponseFit;

pub(crate) use fit::{Fitted, fit_known};
pub(crate) use points::{PointKnowledge, check_frequencies, check_values, require_within};
pub(crate) use real::require_real;
pub(crate) use start::search_grid;
