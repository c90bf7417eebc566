use pulp::Arch;

use super::clipping::{EndsWatch, Scale};
use super::findings::findings;
use super::hum::HumWatch;
use super::interference::{Stretches, interference_lines};
use super::kernel::{Sweep, UNIT, UnitSums};
use super::quantisation::{carrier_sampling, quantisation};
use super::repeats::RepeatWatch;
use super::result::Quality;
use super::stretches::StretchKeeper;
use super::stuck::StuckWatch;
use crate::capture::CaptureInfo;

/// Values that are looked at in one go, from the first-level cache.
const CHUNK: usize = 4096;

/// Measures the quality of a recording block by block.
///
/// Memory is below 2 MB and does not grow with the length; the result does not depend on how the capture is cut into
/// blocks.
///
/// ```
/// use coilwright_signal::capture::Capture;
/// use coilwright_signal::quality::{QualityKind, QualityMeter};
///
/// let samples: Vec<f32> = (0..100_000).map(|n| (0.3 + 1.4 * (0.79 * n as f32).sin()).clamp(-1.0, 1.0)).collect();
/// let mut capture = Capture::from_samples(samples, 1e6);
/// capture.info.full_scale = Some(1.0);
/// let mut meter = QualityMeter::new(&capture.info);
/// meter.push(&capture.samples);
/// let quality = meter.finish(Some(125.7e3));
/// assert!(quality.clipping.at_full_scale);
/// assert!(quality.findings.iter().any(|finding| finding.kind == QualityKind::ClippedAtFullScale));
/// ```
pub struct QualityMeter {
    sample_rate_hz: f64,
    width: usize,
    arch: Arch,
    /// Context of the chunk, then the chunk as far as it was filled.
    buffer: Vec<f32>,
    context: usize,
    /// Whether the context holds zeros for values that were no numbers.
    context_was_replaced: bool,
    values: u64,
    not_finite: u64,
    low: f64,
    high: f64,
    sum: [f64; 2],
    square_sum: f64,
    ends: EndsWatch,
    stuck: StuckWatch,
    repeats: RepeatWatch,
    hum: HumWatch,
    stretches: StretchKeeper,
}

impl QualityMeter {
    /// A meter for a capture.
    #[must_use]
    pub fn new(info: &CaptureInfo) -> Self {
        let width = info.kind.width();
        let stuck = StuckWatch::new(info.sample_rate_hz, width);
        let context = stuck.context_values();
        let scale = Scale {
            full_scale: info.full_scale,
            step: info.step,
        };
        let mut buffer = Vec::with_capacity(context + CHUNK);
        buffer.resize(context, 0.0);
        Self {
            sample_rate_hz: info.sample_rate_hz,
            width,
            arch: Arch::new(),
            buffer,
            context,
            context_was_replaced: false,
            values: 0,
            not_finite: 0,
            low: f64::INFINITY,
            high: f64::NEG_INFINITY,
            sum: [0.0; 2],
            square_sum: 0.0,
            ends: EndsWatch::new(scale, width),
            stuck,
            repeats: RepeatWatch::new(width),
            hum: HumWatch::new(info.sample_rate_hz),
            stretches: StretchKeeper::new(),
        }
    }

    /// Takes the next block: any number of samples, I, Q pairs for a complex capture.
    pub fn push(&mut self, block: &[f32]) {
        let mut taken = 0;
        while taken < block.len() {
            // A chunk that stands in the block behind its own context need not be copied.
            let in_place = taken
                .checked_sub(self.context)
                .filter(|_| self.buffer.len() == self.context && !self.context_was_replaced)
                .and_then(|from| block.get(from..taken + CHUNK));
            if let Some(values) = in_place
                && let swept = self.sweep(values)
                && swept.is_finite
            {
                self.take(values, &swept);
                self.buffer.copy_from_slice(&values[CHUNK..]);
                taken += CHUNK;
                continue;
            }
            let room = self.context + CHUNK - self.buffer.len();
            let end = block.len().min(taken + room);
            self.buffer.extend_from_slice(&block[taken..end]);
            taken = end;
            if self.buffer.len() == self.context + CHUNK {
                self.take_buffer();
            }
        }
    }

    /// The quality of what was pushed.
    ///
    /// `carrier_hz` is the frequency where the carrier appears in the capture. Without it (an envelope, no carrier)
    /// clipping below full scale and synchronous sampling are not judged, and lines are held against the whole
    /// signal.
    #[must_use]
    pub fn finish(mut self, carrier_hz: Option<f64>) -> Quality {
        if self.buffer.len() > self.context {
            self.take_buffer();
        }
        let count = self.values.max(1) as f64;
        let samples = self.values / self.width as u64;
        let range = if self.values > 0 {
            self.high - self.low
        } else {
            0.0
        };
        let mean = (self.sum[0] / count).hypot(self.sum[1] / count) * self.width as f64;
        let dc_offset = if self.width == 1 {
            self.sum[0] / count
        } else {
            mean
        };
        let mean_square = self.square_sum / count;
        let variance = mean_square - dc_offset * dc_offset / self.width as f64;
        let amplitude = (2.0 * variance.max(0.0)).sqrt();
        let carrier = carrier_hz
            .filter(|carrier_hz| *carrier_hz != 0.0)
            .map(|carrier_hz| carrier_sampling(self.sample_rate_hz, carrier_hz, samples));
        let stretches = self.stretches.finish();
        let interference = interference_lines(&Stretches {
            values: &stretches,
            width: self.width,
            sample_rate_hz: self.sample_rate_hz,
            carrier_hz,
            amplitude,
        });
        let shape = carrier.filter(|_| self.width == 1);
        let mut quality = Quality {
            samples,
            not_finite: self.not_finite,
            minimum: if self.values > 0 { self.low } else { 0.0 },
            maximum: if self.values > 0 { self.high } else { 0.0 },
            rms: mean_square.sqrt(),
            dc_offset,
            clipping: self.ends.finish(self.values, range / 2.0, shape),
            stuck: self.stuck.finish(),
            repeated: self.repeats.finish(),
            hum: (self.width == 1)
                .then(|| self.hum.finish(amplitude))
                .flatten(),
            interference,
            quantisation: quantisation(&stretches, range, carrier),
            findings: Vec::new(),
        };
        quality.findings = findings(&quality);
        quality
    }

    fn take_buffer(&mut self) {
        let mut buffer = std::mem::take(&mut self.buffer);
        let mut swept = self.sweep(&buffer);
        self.context_was_replaced = !swept.is_finite;
        if !swept.is_finite {
            self.replace_not_finite(&mut buffer);
            swept = self.sweep(&buffer);
        }
        self.take(&buffer, &swept);
        let kept = buffer.len() - self.context;
        buffer.copy_within(kept.., 0);
        buffer.truncate(self.context);
        self.buffer = buffer;
    }

    /// Takes context and chunk, all of them finite.
    fn take(&mut self, values: &[f32], swept: &Swept) {
        let first_value = self.values.cast_signed() - self.context.cast_signed() as i64;
        let (mut low, mut high) = (swept.low, swept.high);
        let chunk = values.get(self.context..).unwrap_or_default();
        let whole_units = chunk.len() / UNIT;
        let rest = chunk.get(whole_units * UNIT..).unwrap_or_default();
        for value in rest {
            low = low.min(*value);
            high = high.max(*value);
            self.square_sum += f64::from(*value).powi(2);
        }
        let units = swept.units.get(..whole_units).unwrap_or_default();
        self.square_sum += units
            .iter()
            .map(|unit| f64::from(unit.square_sum))
            .sum::<f64>();
        for component in 0..self.width {
            let of_component = if self.width == 1 { rest } else { chunk };
            let sum = of_component
                .iter()
                .skip(component)
                .step_by(self.width)
                .map(|value| f64::from(*value));
            self.sum[component] += sum.sum::<f64>();
        }
        if self.width == 1 {
            self.sum[0] += units.iter().map(|unit| f64::from(unit.sum)).sum::<f64>();
            self.hum.push(units);
        }
        self.low = self.low.min(f64::from(low));
        self.high = self.high.max(f64::from(high));
        let range = self.high - self.low;
        self.ends.push(self.arch, chunk, (low, high), range / 2.0);
        self.repeats.push(units);
        self.stretches.push(chunk);
        self.values += chunk.len() as u64;
        let first_sample = first_value.div_euclid(self.width.cast_signed() as i64);
        let swing = f64::from(high) - f64::from(low);
        self.stuck
            .push(self.arch, values, first_sample, swing, range);
    }

    /// Sweeps over the chunk behind its context.
    fn sweep(&self, values: &[f32]) -> Swept {
        let chunk = values.get(self.context..).unwrap_or_default();
        let mut units = [UnitSums::default(); CHUNK / UNIT];
        let sweep = Sweep {
            values: chunk,
            units: &mut units,
        };
        let (low, high) = self.arch.dispatch(sweep);
        let (_, rest) = chunk.as_chunks::<UNIT>();
        Swept {
            is_finite: rest.iter().all(|value| value.is_finite())
                && units.iter().all(|unit| unit.square_sum.is_finite()),
            units,
            low,
            high,
        }
    }

    fn replace_not_finite(&mut self, buffer: &mut [f32]) {
        for value in buffer.iter_mut().skip(self.context) {
            if !value.is_finite() {
                *value = 0.0;
                self.not_finite += 1;
            }
        }
    }
}

/// What a first pass over a chunk shows.
struct Swept {
    units: [UnitSums; CHUNK / UNIT],
    /// Lowest and highest value of the whole units.
    low: f32,
    high: f32,
    is_finite: bool,
}
