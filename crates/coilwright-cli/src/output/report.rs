use serde::Serialize;

use crate::Status;
use crate::args::OutputArgs;
use crate::streams::Streams;

/// Stands between the texts of two captures.
const RULE: &str = "\n----------------------------------------\n\n";

/// Prints results as they come (text), or all of them at the end (JSON).
///
/// JSON is one object where one capture was named and a list where several were, also when some could not be read.
pub(crate) struct Report<T> {
    json: bool,
    inputs: usize,
    results: Vec<T>,
    printed: usize,
}

impl<T: Serialize> Report<T> {
    /// A report on this many inputs.
    pub(crate) fn new(output: OutputArgs, inputs: usize) -> Self {
        Self {
            json: output.json,
            inputs,
            results: Vec::new(),
            printed: 0,
        }
    }

    /// Adds one result, whose text `render` makes; returns how printing went.
    pub(crate) fn add(
        &mut self,
        result: T,
        render: fn(&T) -> String,
        streams: &mut Streams<'_>,
    ) -> Status {
        if self.json {
            self.results.push(result);
            return Status::Clear;
        }
        let separator = if self.printed > 0 { RULE } else { "" };
        self.printed += 1;
        streams.print(&format!("{separator}{}", render(&result)))
    }

    /// Prints what was collected; returns how printing went.
    pub(crate) fn finish(self, streams: &mut Streams<'_>) -> Status {
        if !self.json || (self.inputs == 1 && self.results.is_empty()) {
            return Status::Clear;
        }
        let text = match self.results.as_slice() {
            [only] if self.inputs == 1 => serde_json::to_string_pretty(only),
            several => serde_json::to_string_pretty(several),
        };
        match text {
            Ok(text) => streams.print(&format!("{text}\n")),
            Err(error) => streams.refuse(&error),
        }
    }
}
