use coilwright_signal::{Estimate, Span};
use serde::Serialize;

/// The antenna ring, from its own switching edges or from the pings of a ring-down capture.
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
    /// The pings of a ring-down capture; `None` where the ring is driven.
    pub ring_down: Option<RingDown>,
    /// Amplitude of the reported pole at its edge over the carrier's. The ring's own is near 1, since its current cannot jump; a
    /// key's is far less.
    pub start_over_carrier: Option<f64>,
    /// What the tails say.
    pub tail: Tail,
    /// Why there is no resonance, in plain words; empty where there is one.
    pub reason: String,
    /// One edge or ping with its fit, for a plot; not part of the JSON form.
    #[serde(skip)]
    pub trace: Option<EdgeTrace>,
}

impl Ring {
    /// A ring of which nothing was seen.
    pub(crate) const fn not_seen() -> Self {
        Self {
            resonance_hz: None,
            q: None,
            turn_on: None,
            turn_off: None,
            ring_down: None,
            start_over_carrier: None,
            tail: Tail::NotSeen,
            reason: String::new(),
            trace: None,
        }
    }
}

/// The pings of a ring-down capture: the ring tapped by a pulse, without a drive.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct RingDown {
    /// The pole after the taps, fitted jointly over the strongest of them; `None` where no decay was fitted.
    pub pole: Option<EdgePole>,
    /// What dies within a cycle after the taps instead of ringing: a Q of one to three.
    pub died: Option<DiedAway>,
    /// Where the pings lie; at most the first 64.
    pub pings: Vec<Span>,
    /// How many pings there were in all.
    pub ping_count: u64,
}

/// A decay that dies within about a cycle: its numbers are rough, and their deviations say so.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct DiedAway {
    /// Undamped resonance in hertz.
    pub resonance_hz: Estimate,
    /// Q.
    pub q: Estimate,
}

/// One edge or ping with its fit.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct EdgeTrace {
    /// Position of the first sample in the capture.
    pub first_sample: u64,
    /// The samples that were fitted.
    pub samples: Vec<f32>,
    /// The fitted curve at the same positions.
    pub fitted: Vec<f32>,
}

/// The pole of one kind of edge, fitted jointly over several edges.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct EdgePole {
    /// Undamped resonance in hertz.
    pub resonance_hz: Estimate,
    /// Loaded Q, `2 pi f0 L / R` with all that damps the ring.
    pub q: Estimate,
    /// Damped frequency in hertz: what the eye counts in the tail.
    pub damped_hz: Estimate,
    /// Undamped resonance of a second pole beside the ring's, such as a key's, in hertz.
    pub second_resonance_hz: Option<Estimate>,
    /// Q of that second pole.
    pub second_q: Option<Estimate>,
    /// Edges or pings used.
    pub edges: usize,
    /// Power of the natural mode at the first sample over the noise, in decibels.
    pub snr_db: f64,
    /// What one more mode would explain, relative to the mode itself; near 0 for a good fit.
    pub misfit: f64,
    /// Part of the records' energy that the fit explains; near 1 for a good fit.
    pub explained: f64,
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
    /// What rings on is too weak to be the ring's own current: a key's, perhaps.
    Foreign,
    /// There is no edge to tell from.
    NotSeen,
}
