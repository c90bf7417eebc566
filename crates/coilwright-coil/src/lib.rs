//! Resonance, Q and models of antenna coils: physics on plain numbers, no input or output.
//!
//! [`fit_ring_down`] reads a free decay, [`fit_turn_off`] and [`fit_turn_on`] the edges of a driven ring's own carrier.
//!
//! From geometry to numbers, each formula with its reference, accuracy and validity: [`inductance`], [`loss`], [`capacitance`],
//! [`coupling`], [`antenna`]; and what follows from them: [`tolerance`], [`design`], [`pickup`].
//!
//! [`condition`] says from any of these numbers whether a coil is sound, and if not, what is the matter.
//!
//! Sign, scaling and edge conventions stand in `docs/conventions.md`.

mod bound;
mod constants;
mod drive_edge;
mod error;
mod estimate;
mod impedance;
mod injection;
mod least_squares;
mod model;
mod model_error;
mod modelled;
mod ohmmeter;
mod quantity;
mod reflection;
mod response;
mod ringdown;
mod sweep;
mod zone;

pub mod antenna;
pub mod capacitance;
pub mod condition;
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
pub use impedance::{
    CoilFit, Equivalent, ImpedanceNoise, ImpedanceOptions, ImpedancePart, SeriesRingFit, Spot,
    fit_coil, fit_series_ring, inductance_and_resistance, spot_impedances,
};
pub use injection::{
    InjectionFit, Stimulus, StimulusPlan, TransferBand, TransferEstimator, TransferPoint,
    fit_injection, highest_playable_hz, make_stimulus, transfer_function,
};
pub use least_squares::ResidualTest;
pub use model_error::{ModelError, NearestMiss};
pub use modelled::{Formula, Modelled};
pub use ohmmeter::{OhmmeterEvidence, OhmmeterReading, Reading, highest_q, ohmmeter_evidence};
pub use quantity::{Measured, Positive};
pub use reflection::{
    CircleFit, Connection, CoupledCoils, OnePort, PortReferences, ReflectionOptions, TwoPort,
    coupling_from_open_and_short, fit_coil_reflection, fit_coupled_coils, fit_one_port,
    fit_q_circle, reflection_to_impedance,
};
pub use response::{
    Background, FeedLine, Quantity, ResponseFit, ResponseOptions, Weighting, fit_response,
};
pub use ringdown::{
    Component, FitWarning, FittedRecord, Goodness, Mode, ModeCount, Residual, RingDownFit,
    RingDownOptions, fit_ring_down,
};
pub use sweep::{SweepFit, SweepOptions, SweepShape, fit_amplitude_sweep};
pub use zone::Zone;
