use crate::result::{CaptureSummary, Carrier, Downlink, Field, KeyFound, Ring, Signal, SignalKind};
use coilwright_signal::quality::Quality;

/// Everything that was measured on one capture, before anything is concluded.
#[derive(Clone, Debug)]
pub(crate) struct Measured {
    /// The capture as the user named it.
    pub file: String,
    /// The recording itself.
    pub capture: CaptureSummary,
    /// Carrier amplitude over the recorder's full scale, in decibels, where the format has one.
    pub level_db: Option<f64>,
    /// What kind of signal it holds.
    pub signal: Signal,
    /// The carrier.
    pub carrier: Carrier,
    /// When the field was on.
    pub field: Field,
    /// The ring, from its edges.
    pub ring: Ring,
    /// The keys that answered.
    pub keys: Vec<KeyFound>,
    /// What the reader said to the key.
    pub downlink: Downlink,
    /// What listening to the field gave besides frames.
    pub listening: ListeningSummary,
    /// The nominal carrier that the user named for a ring-down, which holds none itself.
    pub stated_nominal_hz: Option<f64>,
    /// What is wrong with the recording itself.
    pub quality: Quality,
}

impl Measured {
    /// Whether the ring was tapped, not driven: nothing can be said of field and key.
    pub(crate) fn is_ring_down(&self) -> bool {
        self.signal.kind == SignalKind::RingDown
    }
}

/// What listening to the field gave besides frames.
#[derive(Clone, Debug, Default)]
pub(crate) struct ListeningSummary {
    /// Seconds of field that were listened to.
    pub seconds: f64,
    /// Smallest depth that would have been seen as a modulation.
    pub visible_depth: Option<f64>,
    /// Largest statistic for a superposition of two keys over its threshold; above 1 two keys answer.
    pub collision_ratio: f64,
    /// Strongest line beside the carrier that outweighed all else, in decibels of the carrier.
    pub strongest_line_dbc: Option<f64>,
}
