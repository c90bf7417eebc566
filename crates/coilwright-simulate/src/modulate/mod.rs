//! From a frame to what the key does: the switching of its load in step with the carrier, or tones of its own.
//!
//! A [`KeySignal`] holds the [`Content`], the [`LineCode`] that spells its bits, and the [`Keying`] that carries the
//! levels of the code: the load itself, a subcarrier's frequency or phase, or a reply after the field went off.

mod content;
mod keying;
mod line_code;
mod reply;
mod signal;

pub use content::Content;
pub use keying::{Divider, Keying};
pub use line_code::LineCode;
pub(crate) use reply::CYCLES;
pub use reply::OwnTones;
pub use signal::KeySignal;
