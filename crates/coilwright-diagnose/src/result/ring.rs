use coilwright_signal::Estimate;
use serde::Serialize;

/// The antenna ring, from its own switching edges.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Ring {
    /// Undamped resonance in hertz, of the pole that the driver and all that is near the ring leave it.
    pub resonance_hz: Option<Estimate>,
    /// Loaded Q.
    pub q: Option<Estimate>,
    /// The pole after switch-on edges.
    pub turn_on: Option<EdgePole>,
    /// The pole after switch-off edges.
    pub turn_off: Option<EdgePole>,
    /// What the tails say.
    pub tail: Tail,
    /// Why there is no resonance, in plain words; empty where there is one.
    pub reason: String,
}

/// The pole of one kind of edge, fitted jointly over several edges.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct EdgePole {
    /// Undamped resonance in hertz.
    pub resonance_hz: Estimate,
    /// Loaded Q.
    pub q: Estimate,
    /// Edges used.
    pub edges: usize,
    /// Signal over noise at the first sample of the fit, in decibels.
    pub snr_db: f64,
    /// Residual over what the noise explains; 1 is perfect.
    pub residual_ratio: f64,
}

/// What the ring does after its drive is switched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Tail {
    /// It rings freely.
    Free,
    /// The driver holds it: switch-on and switch-off do not agree, or the tail is no decay.
    Held,
    /// It dies within about a cycle.
    Gone,
    /// There is no edge to tell from.
    NotSeen,
}
