//! When the field is on: edges, bursts, dips and how often the field is asked for.
//!
//! [`ActivityDetector`] reads the capture block by block. Short windows give the level at the carrier; a sudden
//! change of level splits the capture into stretches of steady level; the sample at which each change begins is
//! then found on the raw samples. Once the end is reached, the stretches are sorted into bursts (field on), gaps and
//! dips, and [`EdgeWindow`]s hold the raw samples round the edges for the fits of the ring.

mod backward_fit;
mod bursts;
mod detector;
mod edge_windows;
mod error;
mod history;
mod jumps;
mod level;
mod refine;
mod repetition;
mod result;
mod segment;
mod steady;
mod waveforms;

pub use detector::ActivityDetector;
pub use edge_windows::EdgeWindow;
pub use error::ActivityError;
pub use level::LevelKind;
pub use result::{Activity, Burst, Dip, Edge, EdgeKind, FieldState, Regularity, Repetition};
