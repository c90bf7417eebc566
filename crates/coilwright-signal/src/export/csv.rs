use std::io::{self, Write};

use super::fresh::Fresh;
use super::{Export, Recording};
use crate::demodulate::{FrameRead, KeyRead, Listening};

/// The names of the columns.
const HEADING: &str = "stretch,key,bit_index,start_sample,start_s,bit,soft_bit,frame,bit_of_frame";
/// Lines end as RFC 4180 has them.
const LINE_END: &str = "\r\n";

/// One row a bit, after RFC 4180.
///
/// `start_sample` counts from 0 at the first sample of the capture and has a fraction. `soft_bit` is positive for 1, as
/// in [`KeyRead::soft_bits`]. `frame` counts the frames from 0; it and `bit_of_frame` are empty outside frames.
pub struct Csv<W> {
    out: W,
    sample_rate_hz: f64,
    stretches: usize,
    frames: usize,
    fresh: Fresh,
}

impl<W: Write> Csv<W> {
    /// Starts with the names of the columns.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn new(mut out: W, recording: &Recording) -> io::Result<Self> {
        write!(out, "{HEADING}{LINE_END}")?;
        Ok(Self {
            out,
            sample_rate_hz: recording.info.sample_rate_hz,
            stretches: 0,
            frames: 0,
            fresh: Fresh::default(),
        })
    }

    fn key(&mut self, key: usize, read: &KeyRead) -> io::Result<()> {
        let bits = self.fresh.bits(key, read);
        let frames = self.fresh.frames(key, read);
        let (stretch, times) = (self.stretches, read.bit_times);
        for index in bits {
            let start = times.first + index as f64 * times.period;
            let (bit, soft_bit) = (read.bits[index], read.soft_bits[index]);
            let start_s = start / self.sample_rate_hz;
            write!(
                self.out,
                "{stretch},{key},{index},{start:.3},{start_s:.9},{bit},{soft_bit},"
            )?;
            match frame_at(&frames, start, times.period) {
                Some((frame, bit_of_frame)) => {
                    write!(self.out, "{},{bit_of_frame}", self.frames + frame)?;
                }
                None => self.out.write_all(b",")?,
            }
            self.out.write_all(LINE_END.as_bytes())?;
        }
        self.frames += frames.len();
        Ok(())
    }
}

/// Which of the frames holds the bit that starts at `start`, and which bit of it that is.
fn frame_at(frames: &[&FrameRead], start: f64, period: f64) -> Option<(usize, usize)> {
    let middle = start + 0.5 * period;
    frames.iter().enumerate().find_map(|(index, read)| {
        let from_start = middle - read.span.start as f64;
        let inside = from_start >= 0.0 && middle < read.span.end as f64;
        inside.then(|| {
            // A frame that was added up from its repeats covers them all.
            let bit = (from_start / period) as usize;
            (index, bit % read.frame.bits.len().max(1))
        })
    })
}

impl<W: Write + Send> Export for Csv<W> {
    fn add(&mut self, listening: &Listening) -> io::Result<()> {
        for (key, read) in listening.keys.iter().enumerate() {
            self.key(key, read)?;
        }
        self.stretches += 1;
        Ok(())
    }

    fn finish(mut self: Box<Self>) -> io::Result<()> {
        self.out.flush()
    }
}
