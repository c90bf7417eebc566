//! What the reader says to the key: short gaps in the field whose distance is the symbol.
//!
//! [`gaps`] finds the gaps in samples, [`messages`] reads pulse intervals: the coding of ISO/IEC 18000-2 type A, in which a gap
//! of 4 to 10 carrier cycles ends each symbol. The symbols are listed as they are; what they command is not read.

mod gaps;
mod message;

pub use gaps::{Gap, gaps};
pub use message::{Interval, Message, Symbol, messages};
