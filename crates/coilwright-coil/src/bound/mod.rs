//! How accurate resonance and Q can be at best: Cramér–Rao bounds.

mod closed_form;
mod fisher;

pub use closed_form::damped_exponential_variance;
pub use fisher::{BoundMode, BoundScene, ModeBound, mode_bounds};
