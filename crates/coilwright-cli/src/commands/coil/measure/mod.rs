//! One file a kind of measurement: each makes a [`Sheet`] with its curves.

mod capture;
mod impedance;
mod injection;
mod reflection;
mod sweep;

use std::path::Path;

use coilwright_coil::FitError;
use coilwright_signal::table::{
    ImpedanceReadOptions, TableError, read_impedance_table, read_sweep_table,
};

use super::Sheet;
use super::kind::{Kind, kind_of};
use crate::coil_args::MeasureArgs;
use crate::error::CommandError;

/// What a file says of its coil.
pub(crate) fn measure(path: &Path, arguments: &MeasureArgs) -> Result<Sheet, CommandError> {
    match kind_of(path) {
        Kind::Touchstone => reflection::sheet(path, arguments),
        Kind::Table => table(path, arguments),
        Kind::Capture => capture::sheet(path, arguments),
    }
}

/// A table whose columns make no impedance may hold an amplitude.
fn table(path: &Path, arguments: &MeasureArgs) -> Result<Sheet, CommandError> {
    match read_impedance_table(path, &ImpedanceReadOptions::default()) {
        Err(TableError::ColumnsUnnamed { .. }) => sweep::sheet(path, &read_sweep_table(path)?),
        table => impedance::sheet(path, &table?, arguments),
    }
}

pub(crate) fn unfitted(path: &Path, source: FitError) -> CommandError {
    CommandError::Fit {
        path: path.to_owned(),
        source,
    }
}

/// What is said of an open coil: it is an answer without numbers.
fn no_coil(source: &FitError) -> String {
    format!("No coil was measured: {source}.")
}

fn name(path: &Path) -> String {
    path.display().to_string()
}
