//! Coils and rings at the ports of a network analyser: resonance circles, impedance, coupling.
//!
//! Reflection and transmission are complex ratios as the analyser gives them, calibrated or not as each function says.

mod coil;
mod convert;
mod coupled_model;
mod coupling;
mod one_port;
mod q_circle;
mod two_port;

pub use coil::{ReflectionOptions, fit_coil_reflection};
pub use convert::reflection_to_impedance;
pub use coupling::{coupling_from_open_and_short, fit_coupled_coils};
pub use one_port::{OnePort, fit_one_port};
pub use q_circle::{CircleFit, Connection, fit_q_circle};
pub use two_port::{CoupledCoils, PortReferences, TwoPort};
