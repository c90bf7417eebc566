use crate::Status;
use crate::args::DecodeArgs;
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
    measure_each(&inputs, &arguments.files, &bars, |outcome| {
        status = status.max(match outcome {
            Ok(measurement) => {
                let found = Decoded::from(measurement.conclude(None));
                let read = found.keys.iter().any(|key| key.frame.is_some());
                let outcome = if read {
                    Status::Clear
                } else {
                    Status::CannotTell
                };
                bars.aside(|| report.add(found, keys::text, streams))
                    .max(outcome)
            }
            Err(error) => bars.aside(|| streams.refuse(&error)),
        });
    });
    report
        .finish(streams)
        .max(status)
        .or_clear(arguments.output.exit_zero)
}
