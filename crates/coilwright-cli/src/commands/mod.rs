//! One file a command: its plan, its run, its status.

pub(crate) mod check;
pub(crate) mod coil;
pub(crate) mod decode;
pub(crate) mod synth;
