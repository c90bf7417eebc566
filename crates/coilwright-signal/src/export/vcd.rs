//! After IEEE Std 1364-2005, clause 18: header commands, then `#time` and the changes at that time.

use std::io::{self, Write};

use super::fresh::Fresh;
use super::{Export, Recording};
use crate::Span;
use crate::demodulate::{KeyRead, Listening};
use crate::view::half_bit_signs;

/// Nanoseconds in a second: the unit of time.
const UNITS_PER_S: f64 = 1e9;
/// Keys that have signals of their own: the strongest and one that collides with it.
const KEYS: usize = 2;
/// Signals of one key.
const SIGNALS: [(&str, &str); 4] = [
    ("data", "the bit that is being sent"),
    ("clock", "high in the first half of each bit"),
    (
        "line",
        "the level of the carrier in each half of a bit: 1 above its mean along the modulation axis",
    ),
    (
        "frame",
        "high in a frame whose checks hold, but for its last half-bit",
    ),
];

/// A value change dump: `field`, and `data`, `clock`, `line` (half-bits) and `frame` for each of two keys; unknown (`x`)
/// where nothing was read.
pub struct Vcd<W> {
    out: W,
    units_per_sample: f64,
    fresh: Fresh,
    /// Changes that the next stretch may still come before.
    held: Vec<Change>,
    /// The time of the last changes.
    written: u64,
    /// The value of every signal, the field first.
    values: [u8; 1 + KEYS * SIGNALS.len()],
}

/// What changes, and when.
struct Change {
    time: u64,
    signal: usize,
    value: u8,
}

impl<W: Write> Vcd<W> {
    /// Starts with the header.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn new(mut out: W, recording: &Recording) -> io::Result<Self> {
        writeln!(out, "$version {} $end", plain(&recording.generator))?;
        writeln!(
            out,
            "$comment {}, {} samples a second; time 0 is the first sample $end",
            plain(&recording.info.source.name),
            recording.info.sample_rate_hz
        )?;
        writeln!(out, "$timescale 1 ns $end")?;
        writeln!(out, "$scope module coilwright $end")?;
        writeln!(out, "$var wire 1 {} field $end", identifier(0))?;
        for key in 0..KEYS {
            writeln!(out, "$scope module key_{key} $end")?;
            for (index, (name, meaning)) in SIGNALS.into_iter().enumerate() {
                writeln!(out, "$comment {name}: {meaning} $end")?;
                let identifier = identifier(signal(key, index));
                writeln!(out, "$var wire 1 {identifier} {name} $end")?;
            }
            writeln!(out, "$upscope $end")?;
        }
        writeln!(out, "$upscope $end")?;
        writeln!(out, "$enddefinitions $end")?;
        let values = [b'x'; 1 + KEYS * SIGNALS.len()];
        writeln!(out, "#0\n$dumpvars")?;
        for (signal, &value) in values.iter().enumerate() {
            writeln!(out, "{}{}", char::from(value), identifier(signal))?;
        }
        writeln!(out, "$end")?;
        Ok(Self {
            out,
            units_per_sample: UNITS_PER_S / recording.info.sample_rate_hz,
            fresh: Fresh::default(),
            held: Vec::new(),
            written: 0,
            values,
        })
    }

    fn time(&self, sample: f64) -> u64 {
        (sample * self.units_per_sample).round().max(0.0) as u64
    }

    /// Adds the bits of a key that are new.
    fn bits(&mut self, key: usize, read: &KeyRead, line: Option<&[bool]>) {
        let times = read.bit_times;
        let bits = self.fresh.bits(key, read);
        if bits.is_empty() {
            return;
        }
        let edge = |half: usize| times.first + 0.5 * half as f64 * times.period;
        self.go_on(key, self.time(edge(2 * bits.start) + 0.5 * times.period));
        for index in bits.clone() {
            let value = b'0' + read.bits[index].min(1);
            self.change(edge(2 * index), signal(key, 0), value);
            for (half, clock) in [b'1', b'0'].into_iter().enumerate() {
                let at = 2 * index + half;
                let level = line.and_then(|line| line.get(at));
                self.change(edge(at), signal(key, 1), clock);
                self.change(
                    edge(at),
                    signal(key, 2),
                    level.map_or(b'x', |&high| b'0' + u8::from(high)),
                );
            }
        }
        for index in 0..3 {
            self.change(edge(2 * bits.end), signal(key, index), b'x');
        }
    }

    /// Forgets that a key ended, where it goes on within half a bit.
    fn go_on(&mut self, key: usize, latest: u64) {
        let of_key = signal(key, 0)..signal(key, 3);
        self.held.retain(|change| {
            change.value != b'x' || !of_key.contains(&change.signal) || change.time > latest
        });
    }

    /// Adds the frames of a key that are new.
    fn frames(&mut self, key: usize, read: &KeyRead) {
        for frame in self.fresh.frames(key, read) {
            let last_half = frame.span.end as f64 - 0.5 * read.bit_times.period;
            self.change(frame.span.start as f64, signal(key, 3), b'1');
            self.change(last_half, signal(key, 3), b'0');
        }
    }

    fn change(&mut self, sample: f64, signal: usize, value: u8) {
        self.held.push(Change {
            time: self.time(sample),
            signal,
            value,
        });
    }

    /// Adds that the field is on.
    fn field(&mut self, span: Span) {
        let start = self.time(span.start as f64);
        let before = self.held.len();
        self.held
            .retain(|change| change.signal != 0 || change.time < start);
        if self.held.len() == before {
            self.change(span.start as f64, 0, b'1');
        }
        self.change(span.end as f64, 0, b'0');
    }

    /// Writes the changes that come before a time.
    fn write_before(&mut self, time: u64) -> io::Result<()> {
        self.held.sort_by_key(|change| change.time);
        let count = self.held.partition_point(|change| change.time < time);
        let due: Vec<Change> = self.held.drain(..count).collect();
        self.write(&due)
    }

    /// Writes changes that are in order of time; of several at one time the last counts.
    fn write(&mut self, changes: &[Change]) -> io::Result<()> {
        for at_once in changes.chunk_by(|a, b| a.time == b.time) {
            let mut after = self.values;
            for change in at_once {
                after[change.signal] = change.value;
            }
            let time = at_once.first().map_or(0, |change| change.time);
            self.change_to(time.max(self.written), after)?;
        }
        Ok(())
    }

    fn change_to(&mut self, time: u64, after: [u8; 1 + KEYS * SIGNALS.len()]) -> io::Result<()> {
        if after == self.values {
            return Ok(());
        }
        if self.written != time {
            writeln!(self.out, "#{time}")?;
        }
        self.written = time;
        for (signal, (&before, &value)) in self.values.iter().zip(&after).enumerate() {
            if before != value {
                writeln!(self.out, "{}{}", char::from(value), identifier(signal))?;
            }
        }
        self.values = after;
        Ok(())
    }
}

impl<W: Write + Send> Export for Vcd<W> {
    fn add(&mut self, listening: &Listening) -> io::Result<()> {
        self.field(listening.span);
        for (key, read) in listening.keys.iter().take(KEYS).enumerate() {
            let line = listening
                .baseband
                .as_ref()
                .and_then(|baseband| half_bit_signs(baseband, read));
            self.bits(key, read, line.as_deref());
            self.frames(key, read);
        }
        // The next stretch may overlap this one, but does not begin before it.
        self.write_before(self.time(listening.span.start as f64))
    }

    fn finish(mut self: Box<Self>) -> io::Result<()> {
        self.write_before(u64::MAX)?;
        self.out.flush()
    }
}

/// Number of a signal of a key among all.
const fn signal(key: usize, index: usize) -> usize {
    1 + key * SIGNALS.len() + index
}

/// The identifier code of a signal: one printable character.
fn identifier(signal: usize) -> char {
    char::from(b'!' + signal as u8)
}

/// Text that cannot end a command.
fn plain(text: &str) -> String {
    text.split_whitespace()
        .map(|word| word.replace('$', "_"))
        .collect::<Vec<_>>()
        .join(" ")
}
