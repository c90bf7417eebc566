//! Touchstone files of one and two ports, versions 1 and 2.
//!
//! Version 1: comments after `!`, one option line `# unit parameter format R n` (default `GHz S MA R 50`), then a frequency and
//! the matrix in each line, two-port matrices as 11 21 12 22; Y and Z are normalised to the reference. Version 2: keywords in brackets,
//! `[Two-Port Data Order]` says the order, values are not normalised. Rules read in descriptions of the IBIS specification (second hand).

mod data;
mod format;
mod keyword;
mod model;
mod read;

pub(super) use format::is_option_line;
pub use model::{Parameter, Touchstone};
pub use read::{read_touchstone, read_touchstone_from};
