use coilwright_diagnose::Measurement;

use crate::Status;
use crate::args::CheckArgs;
use crate::inputs::Inputs;
use crate::output::report::Report;
use crate::output::text;
use crate::streams::Streams;

/// Gives a verdict on each capture; the others are still checked when one cannot be read.
pub(crate) fn run(arguments: &CheckArgs, streams: &mut Streams<'_>) -> Status {
    let inputs = match Inputs::new(
        &arguments.read,
        arguments.files.iter().chain(&arguments.against),
    ) {
        Ok(inputs) => inputs,
        Err(error) => return streams.refuse(&error),
    };
    let good: Option<Measurement> = match arguments
        .against
        .as_deref()
        .map(|path| inputs.measure(path))
        .transpose()
    {
        Ok(good) => good,
        Err(error) => return streams.refuse(&error),
    };
    let mut report = Report::new(arguments.output, arguments.files.len());
    let mut status = Status::Clear;
    for path in &arguments.files {
        status = status.max(match inputs.measure(path) {
            Ok(measurement) => {
                let check = measurement.conclude(good.as_ref());
                let verdict = Status::of_check(&check);
                report.add(check, text::check, streams).max(verdict)
            }
            Err(error) => streams.refuse(&error),
        });
    }
    report
        .finish(streams)
        .max(status)
        .or_clear(arguments.output.exit_zero)
}
