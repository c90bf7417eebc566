//! Inductance from geometry.
//!
//! | coil | exact or best | quick |
//! | --- | --- | --- |
//! | circular loop | [`circular_loop_rayleigh_niven_henry`] | [`circular_loop_henry`] |
//! | single-layer solenoid | [`current_sheet_henry`], [`solenoid_of_wire_henry`] | [`wheeler_solenoid_1982_henry`], [`wheeler_solenoid_1928_henry`], [`wheeler_solenoid_of_wire_henry`] |
//! | layers of wire | [`turn_sum_henry`], [`multilayer_henry`] | [`wheeler_multilayer_1928_henry`] |
//! | any rectangular section | [`section_henry`] | |
//! | flat spiral | [`section_henry`] of length zero | [`flat_spiral_henry`], [`wheeler_spiral_1928_henry`] |
//! | rectangle | [`rectangular_loop_henry`], [`rectangular_coil_henry`] | |
//! | rod of ferrite | | [`rod_permeability`], without an inductance |
//!
//! Every function states its formula's validity and answers outside it with an error.

mod circular_loop;
mod conductor;
mod ferrite_rod;
mod flat_spiral;
mod mean_distance;
mod multilayer;
mod rectangular_loop;
mod section;
mod solenoid;
mod turns;
mod wheeler;
mod wire_correction;

pub use circular_loop::{CircularLoop, circular_loop_henry, circular_loop_rayleigh_niven_henry};
pub use conductor::{Conductor, CurrentSpread, WireShape};
pub use ferrite_rod::{FerriteRod, demagnetising_factor, rod_permeability};
pub use flat_spiral::{FlatSpiral, SpiralOutline, flat_spiral_henry};
pub use multilayer::multilayer_henry;
pub use rectangular_loop::{
    RectangularCoil, RectangularLoop, rectangular_coil_henry, rectangular_loop_henry,
};
pub use section::{Section, section_henry};
pub use solenoid::{Solenoid, current_sheet_henry, nagaoka_coefficient};
pub use turns::{LayerWinding, MOST_TURNS, Turn, turn_sum_henry};
pub use wheeler::{
    wheeler_multilayer_1928_henry, wheeler_solenoid_1928_henry, wheeler_solenoid_1982_henry,
    wheeler_spiral_1928_henry,
};
pub use wire_correction::{solenoid_of_wire_henry, wheeler_solenoid_of_wire_henry};
