use std::ffi::OsString;
use std::io::Write;

use clap::Parser as _;

use crate::Status;
use crate::args::{Cli, Command};
use crate::commands;
use crate::streams::Streams;

/// Runs the command with these arguments, the program's name first, and returns how it ended.
///
/// Data is written to `data`, messages to `messages`. Both may receive ANSI styles; wrap them in
/// `anstream::StripStream` or pass `anstream::stdout()` where styles are not wanted.
pub fn run<I, T>(arguments: I, data: &mut dyn Write, messages: &mut dyn Write) -> Status
where
    I: IntoIterator<Item = T>,
    T: Into<OsString> + Clone,
{
    let mut streams = Streams { data, messages };
    match Cli::try_parse_from(arguments) {
        Ok(cli) => match &cli.command {
            Command::Check(arguments) => commands::check::run(arguments, &mut streams),
            Command::Decode(arguments) => commands::decode::run(arguments, &mut streams),
            Command::Coil(arguments) => commands::coil::run(arguments, &mut streams),
            Command::Synth(arguments) => commands::synth::run(arguments, &mut streams),
        },
        Err(error) => usage(&error, &mut streams),
    }
}

/// Help and version are data; a wrong argument is a message.
fn usage(error: &clap::Error, streams: &mut Streams<'_>) -> Status {
    let text = error.render().ansi().to_string();
    if error.use_stderr() {
        // Where messages cannot be written, nobody is left to be told.
        let _ = streams.messages.write_all(text.as_bytes());
        Status::Refused
    } else {
        streams.print(&text)
    }
}
