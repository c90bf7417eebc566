//! Tables over frequency: network-analyser and impedance-meter files.
//!
//! [`read_touchstone`] reads Touchstone 1 and 2 files of one and two ports, [`read_impedance_table`] delimited text with
//! named columns, [`read_sweep_table`] amplitudes over frequency. What is doubtful is a [`TableWarning`], what cannot be trusted a [`TableError`].

mod columns;
mod error;
mod impedance_layout;
mod impedance_table;
mod recognise;
mod rows;
mod sweep_table;
mod touchstone;
mod warning;

pub use error::TableError;
pub use impedance_layout::ImpedanceLayout;
pub use impedance_table::{
    ImpedanceReadOptions, ImpedanceTable, read_impedance_table, read_impedance_table_from,
};
pub use recognise::{TableKind, recognise_table};
pub use sweep_table::{SweepTable, read_sweep_table, read_sweep_table_from};
pub use touchstone::{Parameter, Touchstone, read_touchstone, read_touchstone_from};
pub use warning::TableWarning;

/// Most points that are read; a sweep has hundreds, and each takes some tens of bytes of memory.
const MOST_POINTS: usize = 1_000_000;
