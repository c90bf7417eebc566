//! Resonance, Q and models of antenna coils: physics on plain numbers, no input or output.

mod estimate;

pub use estimate::Estimate;
