//! Resistance: wire table, temperature, skin effect, proximity effect, litz wire.
//!
//! [`winding_resistance`] is for round coils without a core (Ferreira's orthogonality with the field of every turn), [`rectangular_resistance`]
//! for rectangular ones, [`thin_loop_resistance`] for one turn of any outline; [`dowell_ratio`] for layers in the window of a core.

mod dowell;
mod material;
mod rectangle;
mod skin;
mod thin_loop;
mod winding;
mod wire;
mod wire_gauge;

pub use dowell::{WindowLayers, dowell_ratio};
pub use material::{ALUMINIUM, COPPER, Metal};
pub use rectangle::{RectangularWinding, rectangular_resistance};
pub use skin::{SkinEffect, skin_depth_m, skin_effect, transverse_loss_watt_per_metre};
pub use thin_loop::thin_loop_resistance;
pub use winding::{WindingResistance, winding_resistance};
pub use wire::Wire;
pub use wire_gauge::{awg_diameter_m, nearest_awg};
