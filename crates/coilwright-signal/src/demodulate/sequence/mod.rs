//! Keys behind a narrow ring: the ring smears every switching of the key over a time 1/p, with its pole
//! p = 2π (f0/2Q − j (f0 − fc)) as seen from the carrier, so that a bit reaches into the next ones.
//!
//! [`Smear::fit`] finds the pole from the answer itself, [`Smear::matched`] filters with it, and [`Weighed`] is what the symbols
//! then say of each other. A receiver that knows the pulse loses only what the ring takes from its energy,
//! [`Smear::energy`].

mod echoes;
mod matched;
mod pulse;
mod response;
mod smear;
mod weighed;

pub(super) use smear::Smear;
pub(super) use weighed::Weighed;
