use std::io::Read;

use crate::capture::ReadError;
use crate::capture::input::{BUFFER_BYTES, Input};

/// Bytes of an overlong line that are kept.
const KEPT_BYTES: usize = 256;
/// Byte order mark of UTF-8.
const MARK: &[u8] = b"\xEF\xBB\xBF";

/// The lines of a text, one at a time, in bounded memory.
pub(crate) struct Lines<R> {
    input: Input<R>,
    line: Vec<u8>,
    number: u64,
}

/// One line without its end.
#[derive(Clone, Copy)]
pub(crate) struct Line<'text> {
    /// From 1.
    pub(crate) number: u64,
    /// Byte at which it starts.
    pub(crate) offset: u64,
    pub(crate) bytes: &'text [u8],
    pub(crate) end: LineEnd,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LineEnd {
    /// A line feed, or a carriage return and a line feed.
    Feed,
    /// The end of the text: the line may be cut.
    Text,
    /// The line is longer than the buffer and only its start is there.
    Overlong,
}

impl<R: Read> Lines<R> {
    /// The lines behind `number` others.
    pub(crate) fn new(input: Input<R>, number: u64) -> Self {
        Self {
            input,
            line: Vec::new(),
            number,
        }
    }

    /// The name that errors carry.
    pub(crate) fn name(&self) -> &str {
        self.input.name()
    }

    /// The next line.
    pub(crate) fn next(&mut self) -> Result<Option<Line<'_>>, ReadError> {
        let offset = self.input.offset();
        let (length, end) = self.find_end()?;
        if length == 0 && end == LineEnd::Text {
            return Ok(None);
        }
        self.line.clear();
        self.line
            .extend_from_slice(self.input.at_hand().get(..length).unwrap_or_default());
        match end {
            LineEnd::Feed => self.input.consume(length + 1),
            LineEnd::Text => self.input.consume(length),
            LineEnd::Overlong => {
                self.line.truncate(KEPT_BYTES);
                self.skip_line()?;
            }
        }
        self.number += 1;
        let bytes = self.line.strip_suffix(b"\r").unwrap_or(&self.line);
        let bytes = if offset == 0 {
            bytes.strip_prefix(MARK).unwrap_or(bytes)
        } else {
            bytes
        };
        Ok(Some(Line {
            number: self.number,
            offset,
            bytes,
            end,
        }))
    }

    /// Length of the line at hand and how it ends.
    fn find_end(&mut self) -> Result<(usize, LineEnd), ReadError> {
        let mut searched = 0;
        loop {
            let bytes = self.input.fill(searched + 1)?;
            let fresh = bytes.get(searched..).unwrap_or_default();
            if let Some(place) = fresh.iter().position(|&byte| byte == b'\n') {
                return Ok((searched + place, LineEnd::Feed));
            }
            if fresh.is_empty() {
                let end = if searched < BUFFER_BYTES {
                    LineEnd::Text
                } else {
                    LineEnd::Overlong
                };
                return Ok((searched, end));
            }
            searched = bytes.len();
        }
    }

    fn skip_line(&mut self) -> Result<(), ReadError> {
        loop {
            let bytes = self.input.fill(1)?;
            let count = bytes.len();
            if count == 0 {
                return Ok(());
            }
            if let Some(place) = bytes.iter().position(|&byte| byte == b'\n') {
                self.input.consume(place + 1);
                return Ok(());
            }
            self.input.consume(count);
        }
    }
}
