//! One file a kind of measurement: each makes a [`Sheet`] with its curves.

mod capture;
mod circle;
mod impedance;
mod injection;
mod reflection;
mod sweep;

use std::path::{Path, PathBuf};

use coilwright_coil::FitError;
use coilwright_diagnose::CheckOptions;
use coilwright_signal::table::{
    ImpedanceReadOptions, TableError, read_impedance_table, read_sweep_table,
};

use super::Sheet;
use super::kind::{Kind, kind_of};
use crate::coil_args::MeasureArgs;
use crate::error::CommandError;
use crate::inputs::{Inputs, is_standard_input, signal_kind};

/// What a measurement is to be compared with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Expected {
    /// Any kind.
    Anything,
    /// A ring-down: where nothing rings, the coil was tapped and did not ring.
    RingDown,
}

/// How files are understood.
pub(crate) struct Bench<'a> {
    arguments: &'a MeasureArgs,
    inputs: Inputs,
}

impl<'a> Bench<'a> {
    /// As the arguments say, for these files.
    pub(crate) fn new<'p>(
        arguments: &'a MeasureArgs,
        paths: impl Iterator<Item = &'p PathBuf>,
    ) -> Result<Self, CommandError> {
        let check = CheckOptions {
            signal_kind: arguments.signal_kind.map(signal_kind),
            ring_near_hz: arguments.near,
            ..CheckOptions::default()
        };
        let inputs = Inputs::of_samples(&arguments.samples, check, paths)?;
        Ok(Self { arguments, inputs })
    }

    /// What a file says of its coil.
    pub(crate) fn measure(&self, path: &Path, expected: Expected) -> Result<Sheet, CommandError> {
        let stated = self.arguments.samples.raw_type.is_some();
        if stated || is_standard_input(path) {
            return capture::sheet(path, self, expected);
        }
        match kind_of(path) {
            Kind::Touchstone => reflection::sheet(path, self.arguments),
            Kind::Table => table(path, self.arguments),
            Kind::Capture => capture::sheet(path, self, expected),
        }
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
        source: Box::new(source),
    }
}

/// What is said of text without a named frequency, which is taken for a recording.
const IF_A_TABLE: &str =
    "if it is a table over frequency, write `Freq (Hz),R (Ohm),X (Ohm)` over it";

/// Whether a capture was read from text.
fn is_text(format: &str) -> bool {
    format.starts_with("delimited text")
}

/// Takes an error that is an answer: what was measured is open, shorted, or a coil of which something could still be told.
fn answer(sheet: &mut Sheet, path: &Path, source: FitError) -> Result<(), CommandError> {
    match &source {
        FitError::NotInductive { .. } => {
            sheet.notes.push(format!("No coil was measured: {source}."));
        }
        FitError::OpenCircuit { .. } => {
            sheet.open = true;
            sheet.notes.push(sentence(&source));
        }
        FitError::ShortCircuit {
            resistance_ohm,
            inductance_henry,
        } => {
            sheet.measured("inductance_henry", "inductance", "H", *inductance_henry);
            let name = "series resistance";
            sheet.measured("resistance_ohm", name, "Ω", *resistance_ohm);
            sheet.notes.push(sentence(&source));
        }
        FitError::ReflectionBlind {
            inductance_henry, ..
        } => {
            sheet.measured("inductance_henry", "inductance", "H", *inductance_henry);
            sheet.notes.push(sentence(&source));
        }
        _ => return Err(unfitted(path, source)),
    }
    Ok(())
}

/// An error as a sentence by itself.
fn sentence(source: &FitError) -> String {
    let text = source.to_string();
    let mut letters = text.chars();
    let first = letters.next().map(char::to_uppercase);
    let first: String = first.into_iter().flatten().collect();
    format!("{first}{}.", letters.as_str())
}

fn name(path: &Path) -> String {
    path.display().to_string()
}
