//! One file a kind of measurement: each makes a [`Sheet`] with its curves.

mod capture;
mod circle;
mod impedance;
mod injection;
mod origin;
mod reflection;
mod sweep;
mod unused;

pub(crate) use impedance::SERIES_CAPACITANCE;

use std::path::{Path, PathBuf};

use coilwright_coil::FitError;
use coilwright_diagnose::CheckOptions;
use coilwright_signal::table::TableError;

use self::origin::{Origin, Text};
use super::Sheet;
use crate::coil_args::MeasureArgs;
use crate::error::CommandError;
use crate::inputs::{Inputs, signal_kind};
use crate::progress::Bars;

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
    bars: Bars,
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
        Ok(Self {
            arguments,
            inputs,
            bars: Bars::default(),
        })
    }

    /// The terminal's progress bars.
    pub(crate) const fn bars(&self) -> &Bars {
        &self.bars
    }

    /// What a file says of its coil.
    pub(crate) fn measure(&self, path: &Path, expected: Expected) -> Result<Sheet, CommandError> {
        let are_samples = self.arguments.samples.raw_type.is_some();
        let arguments = self.arguments;
        let mut sheet = match Origin::of(path, are_samples)? {
            Origin::Touchstone(text) => reflection::sheet(path, &text.touchstone()?, arguments)?,
            Origin::Table(text) => table(path, &text, arguments)?,
            Origin::Samples(samples) => capture::sheet(path, samples, self, expected)?,
        };
        sheet.notes.extend(unused::note(arguments, &sheet));
        Ok(sheet)
    }
}

/// A table whose columns make no impedance may hold an amplitude.
fn table(path: &Path, text: &Text<'_>, arguments: &MeasureArgs) -> Result<Sheet, CommandError> {
    match text.impedances() {
        Err(TableError::ColumnsUnnamed { .. }) => sweep::sheet(path, &text.sweep()?, arguments),
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

/// Takes an error that is an answer: what was measured is open, shorted, a coil of which something could still be told, or
/// nothing that resonates.
fn answer(sheet: &mut Sheet, path: &Path, source: FitError) -> Result<(), CommandError> {
    match &source {
        FitError::NotInductive { .. } => {
            sheet.notes.push(format!("No coil was measured: {source}."));
        }
        FitError::NoResonance { .. } | FitError::ResonanceOutside { .. } => {
            sheet.notes.push(sentence(&source));
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

/// How many frequencies there are, in words.
fn frequencies(count: usize) -> String {
    if count == 1 {
        "1 frequency".to_owned()
    } else {
        format!("{count} frequencies")
    }
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
