use std::path::Path;

use coilwright_diagnose::Check;

use crate::Status;
use crate::args::DecodeArgs;
use crate::error::CommandError;
use crate::inputs::Inputs;
use crate::measure_each::measure_each;
use crate::output::keys::{self, Decoded};
use crate::output::report::Report;
use crate::progress::Bars;
use crate::streams::Streams;

/// Decodes the keys of each capture; the others are still decoded when one cannot be read.
pub(crate) fn run(arguments: &DecodeArgs, streams: &mut Streams<'_>) -> Status {
    let inputs = match Inputs::new(&arguments.read, arguments.files.iter()) {
        Ok(inputs) => inputs,
        Err(error) => return streams.refuse(&error),
    };
    let bars = Bars::default();
    let mut report = Report::new(arguments.output, arguments.files.len());
    let mut status = Status::Clear;
    let mut take = |outcome: Result<Check, CommandError>| {
        let added = match outcome {
            Ok(check) => bars.aside(|| add(check, &mut report, streams)),
            Err(error) => bars.aside(|| streams.refuse(&error)),
        };
        status = status.max(added);
    };
    if arguments.write.is_empty() {
        let measure = |path: &Path| inputs.measure(path, &bars);
        measure_each(&arguments.files, measure, |outcome| {
            take(
                outcome
                    .map(|measurement| measurement.conclude(None))
                    .map_err(Into::into),
            );
        });
    } else {
        take(only(arguments).and_then(|path| inputs.check_closely(path, &arguments.write, &bars)));
    }
    report
        .finish(streams)
        .max(status)
        .or_clear(arguments.output.exit_zero)
}

/// Adds the keys of one capture to the report.
fn add(check: Check, report: &mut Report<Decoded>, streams: &mut Streams<'_>) -> Status {
    let found = Decoded::from(check);
    let read = found.keys.iter().any(|key| key.frame.is_some());
    let outcome = if read {
        Status::Clear
    } else {
        Status::CannotTell
    };
    report.add(found, keys::text, streams).max(outcome)
}

/// The one capture that files can be written of.
fn only(arguments: &DecodeArgs) -> Result<&Path, CommandError> {
    match arguments.files.as_slice() {
        [path] => Ok(path),
        several => Err(CommandError::SeveralCaptures {
            count: several.len(),
        }),
    }
}
