//! Follows a key that was read before: where nothing but the same frames is sent again, a quick look shows it.
//!
//! The quick look takes the carrier's amplitude in blocks and holds it against the mean cycle of the key's frames as the last
//! full look showed it, on the clock that the carrier gives. Whatever is new — another frame, a second key, a line, a dropout,
//! more noise — leaves more unexplained than then, and the stretch gets a full look.

mod look;
mod repeated_key;
mod template;
mod track;

pub(super) use track::Track;
