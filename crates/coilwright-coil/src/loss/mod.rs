//! Resistance: wire table, temperature, skin effect, proximity effect, litz wire.
//!
//! [`winding_resistance`] is for coils without a core (Ferreira's orthogonality with the field of every turn); [`dowell_ratio`] for layers in
//! the window of a core.

mod dowell;
mod material;
mod skin;
mod winding;
mod wire;
mod wire_gauge;

pub use dowell::{WindowLayers, dowell_ratio};
pub use material::{ALUMINIUM, COPPER, Metal};
pub use skin::{SkinEffect, skin_depth_m, skin_effect, transverse_loss_watt_per_metre};
pub use winding::{WindingResistance, winding_resistance};
pub use wire::Wire;
pub use wire_gauge::{awg_diameter_m, nearest_awg};
