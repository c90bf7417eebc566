use std::fmt::Display;
use std::io::{ErrorKind, Write};

use crate::Status;
use crate::error::CommandError;
use crate::output::page::Page;

/// Where a command writes: data to one writer, messages to the other.
pub(crate) struct Streams<'a> {
    pub(crate) data: &'a mut dyn Write,
    pub(crate) messages: &'a mut dyn Write,
}

impl Streams<'_> {
    /// Prints data and returns how that went.
    ///
    /// A reader that went away, as `head` does, is no failure and nothing is said about it.
    pub(crate) fn print(&mut self, text: &str) -> Status {
        let written = self
            .data
            .write_all(text.as_bytes())
            .and_then(|()| self.data.flush());
        match written {
            Err(error) if error.kind() != ErrorKind::BrokenPipe => {
                self.refuse(&CommandError::Output(error))
            }
            _ => Status::Clear,
        }
    }

    /// Says what was refused and why.
    pub(crate) fn refuse(&mut self, error: &dyn Display) -> Status {
        // Where messages cannot be written either, nobody is left to be told.
        let _ = write!(self.messages, "{}", message(&error.to_string()));
        Status::Refused
    }
}

/// An error over several short lines: what was refused first, then one line for each part of its message.
fn message(error: &str) -> String {
    let mut page = Page::default();
    for (number, part) in error.split("; ").enumerate() {
        if number == 0 {
            page.refusal(part);
        } else {
            page.item("       ", part);
        }
    }
    page.finish()
}
