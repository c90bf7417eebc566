//! Sums of damped sinusoids, steady lines and a baseline, fitted by variable projection.
//!
//! Every column of the model is the real or imaginary part of `nᵏ pⁿ`, so each inner product of two columns is a
//! power sum that takes `O(log N)` steps; only the products with the samples need a pass over the record.

mod candidate;
mod gram;
mod matrix;
mod moment;
mod parameters;
mod power_sum;
mod project;
mod record;
mod refine;
pub(crate) mod significance;
pub(crate) mod sums;

pub(crate) use candidate::Search;
pub(crate) use parameters::{Baseline, DrivePrior, Line, Model, Pole};
pub(crate) use project::Workspace;
pub(crate) use record::Record;
pub(crate) use refine::{Limits, Refined, refine};

/// Most natural modes that are fitted together.
pub(crate) const MAX_MODES: usize = 2;
/// Most steady lines that are fitted together: the drive and its folded harmonics.
pub(crate) const MAX_LINES: usize = 5;
/// Most columns that enter linearly: a level and a slope, and a cosine and a sine for each component. One spare component is left
/// for the candidate that the residual test adds.
pub(crate) const MAX_COLUMNS: usize = 2 + 2 * (MAX_MODES + 1 + MAX_LINES);
/// Most parameters that enter nonlinearly: frequency and decay of each mode, and the drive frequency.
pub(crate) const MAX_FREE: usize = 2 * (MAX_MODES + 1) + 1;
