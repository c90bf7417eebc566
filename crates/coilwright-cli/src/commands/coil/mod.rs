//! The coil laboratory: every subcommand makes [`Sheet`]s, which are printed alike.

mod condition;
mod fit;
mod kind;
mod model;
mod pickup;
mod sheet;
mod stimulus;
mod text;

pub(crate) use sheet::Sheet;

use crate::Status;
use crate::coil_args::{CoilArgs, CoilCommand, SheetArgs};
use crate::streams::Streams;

/// Runs a coil command.
pub(crate) fn run(arguments: &CoilArgs, streams: &mut Streams<'_>) -> Status {
    match &arguments.command {
        CoilCommand::Fit(arguments) => fit::run(arguments, streams),
        CoilCommand::Compare(arguments) => fit::compare(arguments, streams),
        CoilCommand::Model(arguments) => {
            let (sheet, output) = model::sheet(&arguments.shape);
            one(sheet, output, streams)
        }
        CoilCommand::Pickup(arguments) => one(pickup::sheet(arguments), arguments.output, streams),
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
        Ok(sheet) => print(&[sheet], output, streams),
        Err(error) => streams.refuse(&error),
    }
}

/// Prints sheets as text, JSON or CSV.
fn print(sheets: &[Sheet], output: SheetArgs, streams: &mut Streams<'_>) -> Status {
    if output.csv {
        return streams.print(&sheet::csv(sheets));
    }
    if output.json {
        let text = match sheets {
            [only] => serde_json::to_string_pretty(only),
            several => serde_json::to_string_pretty(several),
        };
        return match text {
            Ok(text) => streams.print(&format!("{text}\n")),
            Err(error) => streams.refuse(&error),
        };
    }
    let pages: Vec<String> = sheets.iter().map(text::page).collect();
    streams.print(&pages.join("\n"))
}
