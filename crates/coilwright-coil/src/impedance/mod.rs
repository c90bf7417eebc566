//! Coils and rings from an impedance meter: tables of impedance, or of L and Q at spot frequencies.
//!
//! The instrument does not load what it measures, so resonance and Q are the unloaded ones.

mod coil;
mod coil_model;
mod growth;
mod inductive;
mod open_circuit;
mod parts;
mod points;
mod series_model;
mod series_ring;
mod spot;

pub use coil::{CoilFit, fit_coil};
pub use parts::{ImpedancePart, inductance_and_resistance};
pub use points::{ImpedanceNoise, ImpedanceOptions};
pub use series_ring::{SeriesRingFit, fit_series_ring};
pub use spot::{Equivalent, Spot, spot_impedances};

pub(crate) use open_circuit::{LEAST_OPEN_OHM, open_or};
pub(crate) use points::ImpedanceTable;
pub(crate) use series_model::Port;
pub(crate) use series_ring::{LEAST_POINTS, fit_series_parts};
