use coilwright_signal::demodulate::{FrameRead, KeyRead, Listening};
use coilwright_signal::{Estimate, Span};
use serde::Serialize;
use serde_json::Value;

/// A stretch as `coilwright.Stretch` has it: without arrays.
#[derive(Serialize)]
pub(crate) struct StretchRead {
    span: Span,
    carrier_hz: Estimate,
    amplitude: Estimate,
    noise_dbc_hz: f64,
    axis_rad: Option<f64>,
    modulated: bool,
    pub(crate) keys: Vec<Read>,
}

/// A key's answer as `coilwright.KeyRead` has it; the arrays go a way of their own.
#[derive(Serialize)]
pub(crate) struct Read {
    modulation: Value,
    line_code: Value,
    clocks_per_bit: u32,
    depth: Estimate,
    eb_n0_db: f64,
    margin: f64,
    first_bit_sample: f64,
    bit_period_samples: f64,
    frames: Vec<Frame>,
    #[serde(skip)]
    pub(crate) bits: Vec<u8>,
    #[serde(skip)]
    pub(crate) soft_bits: Vec<f32>,
}

#[derive(Serialize)]
struct Frame {
    kind: &'static str,
    bits: String,
    payload: String,
    span: Span,
    inverted: bool,
    corrected_bits: usize,
}

impl StretchRead {
    pub(crate) fn of(listening: &Listening) -> Self {
        Self {
            span: listening.span,
            carrier_hz: listening.carrier_hz,
            amplitude: listening.amplitude,
            noise_dbc_hz: listening.noise_dbc_hz,
            axis_rad: listening.axis_rad,
            modulated: listening.detection.modulated,
            keys: listening.keys.iter().map(Read::of).collect(),
        }
    }
}

impl Read {
    fn of(read: &KeyRead) -> Self {
        // The names that the JSON lines of the command have; both are plain strings or null.
        let named = |value: Result<Value, serde_json::Error>| value.unwrap_or(Value::Null);
        Self {
            modulation: named(serde_json::to_value(read.modulation)),
            line_code: named(serde_json::to_value(read.line_code)),
            clocks_per_bit: read.clocks_per_bit,
            depth: read.depth,
            eb_n0_db: read.eb_n0_db,
            margin: read.margin,
            first_bit_sample: read.bit_times.first,
            bit_period_samples: read.bit_times.period,
            frames: read.frames.iter().map(Frame::of).collect(),
            bits: read.bits.clone(),
            soft_bits: read.soft_bits.clone(),
        }
    }
}

impl Frame {
    fn of(read: &FrameRead) -> Self {
        Self {
            kind: read.frame.kind.identifier(),
            bits: read.frame.bit_text(),
            payload: read.frame.payload.clone(),
            span: read.span,
            inverted: read.inverted,
            corrected_bits: read.corrected_bits,
        }
    }
}
