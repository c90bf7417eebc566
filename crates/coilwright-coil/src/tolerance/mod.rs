//! How a result spreads with the tolerances of its parts, and which part dominates.

mod part;
mod spread;

pub use part::{Part, Spread};
pub use spread::{PartShare, ToleranceResult, spread_of};
