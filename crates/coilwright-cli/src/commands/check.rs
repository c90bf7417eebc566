use std::path::Path;

use coilwright_diagnose::Measurement;

use crate::Status;
use crate::args::CheckArgs;
use crate::inputs::Inputs;
use crate::measure_each::measure_each;
use crate::output::report::Report;
use crate::output::text;
use crate::progress::Bars;
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
    let bars = Bars::default();
    let good: Option<Measurement> = match arguments
        .against
        .as_deref()
        .map(|path| inputs.measure(path, &bars))
        .transpose()
    {
        Ok(good) => good,
        Err(error) => return streams.refuse(&error),
    };
    let mut report = Report::new(arguments.output, arguments.files.len());
    let mut status = Status::Clear;
    let measure = |path: &Path| inputs.measure(path, &bars);
    measure_each(&arguments.files, measure, |outcome| {
        status = status.max(match outcome {
            Ok(measurement) => {
                let check = measurement.conclude(good.as_ref());
                let verdict = Status::of_check(&check);
                bars.aside(|| report.add(check, text::check, streams))
                    .max(verdict)
            }
            Err(error) => bars.aside(|| streams.refuse(&error)),
        });
    });
    report
        .finish(streams)
        .max(status)
        .or_clear(arguments.output.exit_zero)
}
