//! Ring-down captures: somebody taps the ring with a pulse, and the pickup sees it ring and die away. No drive, no key.

mod envelope;
mod finder;
mod record;
mod ring;
mod shape;

pub(super) use finder::{PingFinder, Pings};
pub(super) use ring::{PingContext, RungRing, reason, ring, twins};
