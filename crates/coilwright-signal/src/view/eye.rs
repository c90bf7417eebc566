use super::grid::spread;
use crate::demodulate::{Baseband, KeyRead};

/// Times at which each trace is drawn.
const COLUMNS: usize = 65;
/// Bits that are laid over each other at most, evenly spread over the stretch.
const TRACES: usize = 400;
/// A trace begins this long before its bit, in bits, and ends as long after it.
const MARGIN_BITS: f64 = 0.5;

/// The bits of a key laid over each other: an eye diagram.
#[derive(Clone, Debug, PartialEq)]
pub struct Eye {
    /// Time from the start of the bit, in bits, from −0.5 to 1.5.
    pub time_bits: Vec<f32>,
    /// The deviation along the modulation axis, relative to the carrier: one row of `time_bits.len()` values a trace.
    pub values: Vec<f32>,
    /// Which bit of the read each row shows.
    pub bits: Vec<usize>,
}

impl Eye {
    /// The eye of a read on the baseband that it came from; `None` where no bit lies inside.
    #[must_use]
    pub fn of(baseband: &Baseband, read: &KeyRead) -> Option<Self> {
        let times = read.bit_times;
        let span_bits = 1.0 + 2.0 * MARGIN_BITS;
        let time_bits: Vec<f64> = (0..COLUMNS)
            .map(|column| span_bits * column as f64 / (COLUMNS - 1) as f64 - MARGIN_BITS)
            .collect();
        let mut eye = Self {
            time_bits: time_bits.iter().map(|&t| t as f32).collect(),
            values: Vec::new(),
            bits: Vec::new(),
        };
        for bit in spread(read.bits.len(), TRACES) {
            let start = times.first + bit as f64 * times.period;
            let trace: Option<Vec<f32>> = time_bits
                .iter()
                .map(|&t| value_at(baseband, start + t * times.period))
                .collect();
            if let Some(trace) = trace {
                eye.values.extend(trace);
                eye.bits.push(bit);
            }
        }
        (!eye.bits.is_empty()).then_some(eye)
    }

    /// The traces, one slice for each of [`bits`](Self::bits).
    pub fn traces(&self) -> impl Iterator<Item = &[f32]> {
        self.values.chunks_exact(self.time_bits.len().max(1))
    }
}

/// The baseband at a sample position, on the line between its neighbours.
fn value_at(baseband: &Baseband, sample: f64) -> Option<f32> {
    let place = (sample - baseband.first) / baseband.step;
    if place.is_nan() || place < 0.0 {
        return None;
    }
    let below = place as usize;
    let share = (place - below as f64) as f32;
    let (low, high) = (baseband.values.get(below)?, baseband.values.get(below + 1)?);
    Some(low + share * (high - low))
}
