//! Design: windings from room, wire and aim; a Pareto table, not one answer.

mod aim;
mod pareto;
mod search;

pub use aim::{Aim, Partner, Room, ShelfWire};
pub use pareto::pareto_front;
pub use search::{Candidate, find_windings};
