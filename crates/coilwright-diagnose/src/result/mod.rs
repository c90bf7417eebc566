//! The result of a check: one value for text, JSON, report and Python.

mod check;
mod downlink;
mod fault;
mod field;
mod finding;
mod key;
mod ring;
mod signal;
mod verdict;

pub use check::{CaptureSummary, Check, SCHEMA};
pub use downlink::Downlink;
pub use fault::Fault;
pub use field::{Burst, Dip, EdgeEvent, EdgeKind, Field, Repetition};
pub use finding::{Finding, FindingId, Weight};
pub use key::{FrameFound, KeyFound, NamedCheck};
pub use ring::{DiedAway, EdgePole, EdgeTrace, Ring, RingDown, Tail};
pub use signal::{Carrier, Signal, SignalKind};
pub use verdict::{Caution, Comparison, NextStep, Other, Verdict};
