//! Annotations after the *Signal Metadata Format* specification, version 1: `core:sample_start`, `core:sample_count`,
//! `core:label`, `core:comment` and `core:generator`, in order of their first sample.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::Value;

use super::fresh::Fresh;
use super::{Export, Recording};
use crate::Span;
use crate::demodulate::{FrameRead, KeyRead, Listening};

/// The fields of the metadata that come before the annotations.
const HEAD: [&str; 2] = ["global", "captures"];
const ANNOTATIONS: &str = "annotations";

/// `SigMF` metadata with an annotation for every stretch that was listened to and for every frame.
///
/// Annotations that the metadata holds already are kept, but for those that an earlier run left there.
pub struct SigmfAnnotations<W> {
    out: W,
    generator: String,
    /// The metadata; its head is not written yet.
    metadata: Option<Value>,
    /// Annotations that are not written yet.
    held: Vec<(u64, Value)>,
    count: usize,
    fresh: Fresh,
}

#[derive(Serialize)]
struct Annotation<'a> {
    #[serde(rename = "core:sample_start")]
    sample_start: u64,
    #[serde(rename = "core:sample_count")]
    sample_count: u64,
    #[serde(rename = "core:label")]
    label: String,
    #[serde(rename = "core:comment")]
    comment: String,
    #[serde(rename = "core:generator")]
    generator: &'a str,
}

impl<W: Write> SigmfAnnotations<W> {
    /// Starts with the metadata of the recording.
    pub fn new(out: W, recording: &Recording) -> Self {
        let mut metadata = recording.sigmf.clone();
        let known = match metadata.get_mut(ANNOTATIONS).map(Value::take) {
            Some(Value::Array(known)) => known,
            _ => Vec::new(),
        };
        let program = program(&recording.generator);
        let held = known
            .into_iter()
            .filter(|annotation| {
                text(annotation, "core:generator").map(self::program) != Some(program)
            })
            .map(|annotation| (start(&annotation), annotation))
            .collect();
        Self {
            out,
            generator: recording.generator.clone(),
            metadata: Some(metadata),
            held,
            count: 0,
            fresh: Fresh::default(),
        }
    }

    fn hold(&mut self, span: Span, label: String, comment: String) -> io::Result<()> {
        let annotation = serde_json::to_value(Annotation {
            sample_start: span.start,
            sample_count: span.len(),
            label,
            comment,
            generator: &self.generator,
        })?;
        self.held.push((span.start, annotation));
        Ok(())
    }

    /// Writes the annotations that begin before a sample.
    fn write_before(&mut self, sample: u64) -> io::Result<()> {
        self.head()?;
        self.held.sort_by_key(|(start, _)| *start);
        let count = self.held.partition_point(|(start, _)| *start < sample);
        for (_, annotation) in self.held.drain(..count) {
            let separator = if self.count > 0 { "," } else { "" };
            self.count += 1;
            write!(self.out, "{separator}\n    {annotation}")?;
        }
        Ok(())
    }

    /// Writes all of the metadata that is no annotation, once.
    fn head(&mut self) -> io::Result<()> {
        let Some(metadata) = self.metadata.take() else {
            return Ok(());
        };
        self.out.write_all(b"{\n")?;
        for name in HEAD {
            let value = metadata
                .get(name)
                .cloned()
                .unwrap_or(Value::Array(Vec::new()));
            let value = serde_json::to_string_pretty(&value)?.replace('\n', "\n  ");
            writeln!(self.out, "  \"{name}\": {value},")?;
        }
        let others = metadata.as_object().into_iter().flatten();
        for (name, value) in others {
            if name != ANNOTATIONS && !HEAD.contains(&name.as_str()) {
                writeln!(self.out, "  {}: {value},", Value::from(name.as_str()))?;
            }
        }
        write!(self.out, "  \"{ANNOTATIONS}\": [")
    }
}

impl<W: Write + Send> Export for SigmfAnnotations<W> {
    fn add(&mut self, listening: &Listening) -> io::Result<()> {
        let (label, comment) = stretch_words(listening);
        self.hold(listening.span, label, comment)?;
        for (key, read) in listening.keys.iter().enumerate() {
            for frame in self.fresh.frames(key, read) {
                let (label, comment) = frame_words(frame);
                self.hold(frame.span, label, comment)?;
            }
        }
        self.write_before(listening.span.start)
    }

    fn finish(mut self: Box<Self>) -> io::Result<()> {
        self.write_before(u64::MAX)?;
        self.out.write_all(b"\n  ]\n}\n")?;
        self.out.flush()
    }
}

/// Label and comment of a stretch; a label is best shorter than 20 characters.
fn stretch_words(listening: &Listening) -> (String, String) {
    let carrier = format!("carrier {:.1} Hz", listening.carrier_hz.value);
    let Some(read) = listening.keys.first() else {
        return ("field, no key".to_owned(), carrier);
    };
    let keys: Vec<String> = listening.keys.iter().map(key_words).collect();
    (
        format!("key, RF/{}", read.clocks_per_bit),
        format!("{carrier}; {}", keys.join("; ")),
    )
}

fn key_words(read: &KeyRead) -> String {
    format!(
        "{} at RF/{}, {} bits, depth {:.2} %, Eb/N0 {:.1} dB",
        read.modulation.identifier(),
        read.clocks_per_bit,
        read.bits.len(),
        100.0 * read.depth.value,
        read.eb_n0_db
    )
}

fn frame_words(read: &FrameRead) -> (String, String) {
    (
        read.frame.kind.identifier().to_owned(),
        format!(
            "payload {}, bits {}, {} corrected",
            read.frame.payload,
            read.frame.bit_text(),
            read.corrected_bits
        ),
    )
}

/// The name of a program without its version.
fn program(generator: &str) -> &str {
    generator.split(' ').next().unwrap_or_default()
}

fn text<'a>(annotation: &'a Value, field: &str) -> Option<&'a str> {
    annotation.get(field).and_then(Value::as_str)
}

fn start(annotation: &Value) -> u64 {
    annotation
        .get("core:sample_start")
        .and_then(Value::as_u64)
        .unwrap_or(0)
}
