use std::io::{self, Write};

use serde::Serialize;

use super::fresh::Fresh;
use super::{Export, Recording};
use crate::capture::CaptureInfo;
use crate::demodulate::{FrameRead, Listening};

/// Name and version of the form.
const SCHEMA: &str = "coilwright.export/1";

/// One JSON object a line; `record` says what it is: `capture` (once), `stretch` with everything that was heard in it,
/// bits and soft bits included, and `frame` after the stretch that it was first read in.
pub struct JsonLines<W> {
    out: W,
    sample_rate_hz: f64,
    stretches: usize,
    fresh: Fresh,
}

#[derive(Serialize)]
#[serde(tag = "record", rename_all = "snake_case")]
enum Record<'a> {
    Capture {
        schema: &'static str,
        generator: &'a str,
        capture: &'a CaptureInfo,
    },
    Stretch {
        stretch: usize,
        start_s: f64,
        end_s: f64,
        #[serde(flatten)]
        listening: &'a Listening,
    },
    Frame {
        stretch: usize,
        key: usize,
        start_s: f64,
        end_s: f64,
        #[serde(flatten)]
        read: &'a FrameRead,
    },
}

impl<W: Write> JsonLines<W> {
    /// Starts with the line of the capture.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn new(out: W, recording: &Recording) -> io::Result<Self> {
        let mut lines = Self {
            out,
            sample_rate_hz: recording.info.sample_rate_hz,
            stretches: 0,
            fresh: Fresh::default(),
        };
        lines.line(&Record::Capture {
            schema: SCHEMA,
            generator: &recording.generator,
            capture: &recording.info,
        })?;
        Ok(lines)
    }

    fn line(&mut self, record: &Record<'_>) -> io::Result<()> {
        serde_json::to_writer(&mut self.out, record)?;
        self.out.write_all(b"\n")
    }
}

impl<W: Write + Send> Export for JsonLines<W> {
    fn add(&mut self, listening: &Listening) -> io::Result<()> {
        let stretch = self.stretches;
        self.stretches += 1;
        let (start_s, end_s) = listening.span.seconds(self.sample_rate_hz);
        self.line(&Record::Stretch {
            stretch,
            start_s,
            end_s,
            listening,
        })?;
        for (key, read) in listening.keys.iter().enumerate() {
            for frame in self.fresh.frames(key, read) {
                let (start_s, end_s) = frame.span.seconds(self.sample_rate_hz);
                self.line(&Record::Frame {
                    stretch,
                    key,
                    start_s,
                    end_s,
                    read: frame,
                })?;
            }
        }
        Ok(())
    }

    fn finish(mut self: Box<Self>) -> io::Result<()> {
        self.out.flush()
    }
}
