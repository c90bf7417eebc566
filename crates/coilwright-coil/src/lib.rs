//! Resonance, Q and models of antenna coils: physics on plain numbers, no input or output.
//!
//! [`fit_ring_down`] reads a free decay, [`fit_turn_off`] and [`fit_turn_on`] the edges of a driven ring's own carrier.
//!
//! From geometry to numbers, each formula with its reference, accuracy and validity: [`inductance`], [`loss`], [`capacitance`],
//! [`coupling`], [`antenna`]; and what follows from them: [`tolerance`], [`design`], [`pickup`].
//!
//! Sign, scaling and edge conventions stand in `docs/conventions.md`.

mod bound;
mod constants;
mod drive_edge;
mod error;
mod estimate;
mod model;
mod model_error;
mod modelled;
mod ringdown;
mod zone;

pub mod antenna;
pub mod capacitance;
pub mod coupling;
pub mod design;
pub mod inductance;
pub mod loss;
pub mod pickup;
pub mod special;
pub mod tolerance;

pub use bound::{BoundMode, BoundScene, ModeBound, damped_exponential_variance, mode_bounds};
pub use constants::{ELECTRIC_CONSTANT, MAGNETIC_CONSTANT};
pub use drive_edge::{
    EdgeOutcome, EdgesFit, PoleComparison, ReportedPole, RingPole, TailFreedom, TurnOffFit,
    TurnOnFit, fit_edges, fit_turn_off, fit_turn_on,
};
pub use error::FitError;
pub use estimate::Estimate;
pub use model_error::{ModelError, NearestMiss};
pub use modelled::{Formula, Modelled};
pub use ringdown::{
    Component, FitWarning, FittedRecord, Goodness, Mode, ModeCount, Residual, RingDownFit,
    RingDownOptions, fit_ring_down,
};
pub use zone::Zone;
