//! Mutual inductance, coupling and fields of circular coils, and what metal near a coil does to it.

mod coaxial;
mod coils;
mod displaced;
mod field;
mod half_space;
mod nearby;

pub(crate) use coaxial::mutual_henry;
pub use coaxial::{CoaxialCircles, coaxial_circles_henry};
pub use coils::{Coupling, SectionCoil, coils_henry, coupling_coefficient};
pub use displaced::{Placement, circles_henry};
pub use field::{CircleField, circle_field};
pub use half_space::{HalfSpace, ImpedanceChange, half_space_change};
pub use nearby::{ClosedLoop, TunedCoil, TunedState};
