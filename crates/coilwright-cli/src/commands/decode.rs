use crate::Status;
use crate::args::DecodeArgs;
use crate::inputs::Inputs;
use crate::output::keys::{self, Decoded};
use crate::output::report::Report;
use crate::streams::Streams;

/// Decodes the keys of each capture; the others are still decoded when one cannot be read.
pub(crate) fn run(arguments: &DecodeArgs, streams: &mut Streams<'_>) -> Status {
    let inputs = match Inputs::new(&arguments.read, arguments.files.iter()) {
        Ok(inputs) => inputs,
        Err(error) => return streams.refuse(&error),
    };
    let mut report = Report::new(arguments.output, arguments.files.len());
    let mut status = Status::Clear;
    for path in &arguments.files {
        status = status.max(match inputs.measure(path) {
            Ok(measurement) => {
                let found = Decoded::from(measurement.conclude(None));
                let read = found.keys.iter().any(|key| key.frame.is_some());
                let outcome = if read {
                    Status::Clear
                } else {
                    Status::CannotTell
                };
                report.add(found, keys::text, streams).max(outcome)
            }
            Err(error) => streams.refuse(&error),
        });
    }
    report
        .finish(streams)
        .max(status)
        .or_clear(arguments.output.exit_zero)
}
