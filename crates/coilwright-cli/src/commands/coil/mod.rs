//! The coil laboratory: every subcommand makes [`Sheet`]s, which are printed alike.

mod condition;
mod design;
mod fit;
mod held;
mod measure;
mod model;
mod ohmmeter;
mod pickup;
mod picture;
mod sheet;
mod stimulus;
mod text;

pub(crate) use held::Held;
pub(crate) use sheet::Sheet;

use crate::Status;
use crate::coil_args::{CoilArgs, CoilCommand, SheetArgs};
use crate::streams::Streams;

/// Runs a coil command.
pub(crate) fn run(arguments: &CoilArgs, streams: &mut Streams<'_>) -> Status {
    match &arguments.command {
        CoilCommand::Fit(arguments) => fit::run(arguments, streams),
        CoilCommand::Compare(arguments) => fit::compare(arguments, streams),
        CoilCommand::Model(arguments) => model::run(&arguments.shape, streams),
        CoilCommand::Design(arguments) => design::run(arguments, streams),
        CoilCommand::Pickup(arguments) => pickup::run(arguments, streams),
        CoilCommand::Stimulus(arguments) => {
            one(stimulus::write(arguments), arguments.output, streams)
        }
    }
}

fn one<E: std::fmt::Display>(
    sheet: Result<Sheet, E>,
    output: SheetArgs,
    streams: &mut Streams<'_>,
) -> Status {
    match sheet {
        Ok(sheet) => print(&[sheet], Form::One, output, streams),
        Err(error) => streams.refuse(&error),
    }
}

/// How JSON holds the sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// One object.
    One,
    /// A list, however many there are.
    List,
}

impl Form {
    /// One object for one file that was named, a list for several, whichever of them could be read.
    pub(crate) const fn of(named: usize) -> Self {
        if named == 1 { Self::One } else { Self::List }
    }
}

/// Prints sheets as text, JSON or CSV.
fn print(sheets: &[Sheet], form: Form, output: SheetArgs, streams: &mut Streams<'_>) -> Status {
    if output.csv {
        return streams.print(&sheet::csv(sheets));
    }
    if output.json {
        let text = match (form, sheets) {
            (Form::One, [only]) => serde_json::to_string_pretty(only),
            (_, several) => serde_json::to_string_pretty(several),
        };
        return match text {
            Ok(text) => streams.print(&format!("{text}\n")),
            Err(error) => streams.refuse(&error),
        };
    }
    let pages: Vec<String> = sheets.iter().map(text::page).collect();
    streams.print(&pages.join("\n"))
}
