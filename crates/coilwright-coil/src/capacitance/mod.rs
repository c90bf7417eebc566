//! Self-capacitance of coils.

mod layered;
mod single_layer;

pub use layered::{LayerOrder, layered_farad};
pub use single_layer::medhurst_farad;
