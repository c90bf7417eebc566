use std::borrow::Cow;
use std::f64::consts::TAU;

use num_complex::{Complex32, Complex64};

use crate::capture::SampleKind;
use crate::carrier::{Carrier, SignalKind};
use crate::dsp::{DownConverter, LowPass, rotation};

/// Filter length in output samples.
const SPANS: usize = 6;
/// The carrier's phase is followed in blocks of this length.
const PHASE_BLOCK_S: f64 = 4e-3;
/// A phase that strays further than this from a straight line is followed block by block.
const STRAY_RAD: f64 = 0.05;

/// A stretch of samples with the sample rate and carrier that go with it.
#[derive(Clone, Copy)]
pub(super) struct Stretch<'a> {
    pub samples: &'a [f32],
    pub kind: SampleKind,
    pub sample_rate_hz: f64,
    pub carrier: &'a Carrier,
}

/// The relative deviation of the carrier from its mean, at a reduced rate.
#[derive(Clone)]
pub(super) struct Deviation {
    /// z(t)/c − 1.
    pub values: Vec<Complex32>,
    /// Input position of the middle of value 0, counted from the start of the stretch; the middle of input sample n
    /// is n + 1/2.
    pub first: f64,
    /// Input samples from one value to the next.
    pub step: f64,
    /// The filter that the values went through, if any.
    pub low_pass: Option<LowPass>,
    /// The carrier: its amplitude, and by how much it appears above `carrier.apparent_hz`.
    pub level: Level,
}

impl Deviation {
    /// The deviation with `decimation` input samples to a value; `None` when the stretch is too short or empty.
    pub(super) fn of(stretch: &Stretch<'_>, decimation: usize) -> Option<Self> {
        if stretch.carrier.kind == SignalKind::Envelope {
            return Self::of_envelope(stretch);
        }
        let frequency = stretch.carrier.apparent_hz / stretch.sample_rate_hz;
        let mut values = Vec::with_capacity(stretch.samples.len() / decimation + 1);
        let (converter, scale) = match stretch.kind {
            SampleKind::Real => {
                let mut converter = DownConverter::new(frequency, decimation, SPANS);
                converter.process(stretch.samples, &mut values);
                (converter, 2.0)
            }
            SampleKind::Complex => {
                let mut converter = DownConverter::for_complex(frequency, decimation, SPANS);
                converter.process_complex(stretch.samples, &mut values);
                (converter, 1.0)
            }
        };
        let rate_hz = stretch.sample_rate_hz / decimation as f64;
        let level = make_relative(&mut values, rate_hz)?;
        Some(Self {
            values,
            first: converter.delay_samples() + 0.5,
            step: decimation as f64,
            low_pass: Some(converter.low_pass().clone()),
            level: Level {
                size: scale * level.size,
                ..level
            },
        })
    }

    fn of_envelope(stretch: &Stretch<'_>) -> Option<Self> {
        let samples: Vec<Complex32> = match stretch.kind {
            SampleKind::Real => stretch
                .samples
                .iter()
                .map(|&x| Complex32::from(x))
                .collect(),
            SampleKind::Complex => stretch
                .samples
                .as_chunks::<2>()
                .0
                .iter()
                .map(|&[re, im]| Complex32::new(re, im).norm().into())
                .collect(),
        };
        let mean = mean(&samples)?.re;
        let spread = (samples
            .iter()
            .map(|x| (f64::from(x.re) - mean).powi(2))
            .sum::<f64>()
            / samples.len() as f64)
            .sqrt();
        // A coupling capacitor takes the level away: then the deviation is relative to its own size.
        let level = mean.abs().max(spread);
        if level <= 0.0 {
            return None;
        }
        Some(Self {
            values: samples
                .iter()
                .map(|x| Complex32::from(((f64::from(x.re) - mean) / level) as f32))
                .collect(),
            first: 0.5,
            step: 1.0,
            low_pass: None,
            level: Level {
                size: mean.abs(),
                offset_hz: 0.0,
                offset_std_hz: 0.0,
            },
        })
    }

    /// The middle of the stretch, at most `length` values long, as a deviation of its own.
    pub(super) fn middle(&self, length: usize) -> Cow<'_, Self> {
        if length >= self.values.len() {
            return Cow::Borrowed(self);
        }
        let skipped = (self.values.len() - length) / 2;
        Cow::Owned(Self {
            values: self.values[skipped..skipped + length].to_vec(),
            first: self.first + skipped as f64 * self.step,
            low_pass: self.low_pass.clone(),
            ..*self
        })
    }
}

/// What values at 0 Hz are relative to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Level {
    /// Size of their mean.
    pub size: f64,
    /// By how much they turned.
    pub offset_hz: f64,
    /// Standard deviation of that.
    pub offset_std_hz: f64,
}

/// Turns values round 0 Hz to a constant phase and makes them relative deviations from their mean.
pub(super) fn make_relative(values: &mut [Complex32], rate_hz: f64) -> Option<Level> {
    let track = flatten_phase(values, rate_hz)?;
    let mean = mean(values)?;
    let inverse = Complex32::new((1.0 / mean).re as f32, (1.0 / mean).im as f32);
    for value in values {
        *value = *value * inverse - 1.0;
    }
    Some(Level {
        size: mean.norm(),
        offset_hz: track.slope_hz,
        offset_std_hz: track.slope_std_hz,
    })
}

fn mean(values: &[Complex32]) -> Option<Complex64> {
    let mean = rotation::sum(values) / values.len() as f64;
    (mean.is_finite() && mean.norm() > 0.0).then_some(mean)
}

/// The straight line through the carrier's phase.
struct Track {
    slope_hz: f64,
    slope_std_hz: f64,
}

/// Turns the carrier's phase to a constant: a straight line, or block by block where the carrier wanders.
fn flatten_phase(values: &mut [Complex32], rate_hz: f64) -> Option<Track> {
    let block = ((PHASE_BLOCK_S * rate_hz) as usize)
        .min(values.len() / 4)
        .max(1);
    let sums: Vec<Complex64> = values.chunks_exact(block).map(rotation::sum).collect();
    if sums.len() < 3 {
        return None;
    }
    let phases = unwrapped(&sums);
    let (intercept, slope, slope_std) = line_fit(&phases);
    let rest: Vec<f64> = phases
        .iter()
        .enumerate()
        .map(|(k, phase)| phase - intercept - slope * k as f64)
        .collect();
    let stray = rest
        .iter()
        .fold(0.0_f64, |worst, rest| worst.max(rest.abs()));
    turn(values, 0.0, -slope / block as f64);
    if stray > STRAY_RAD {
        let middle = (block as f64 - 1.0) / 2.0;
        rotate(values, |k| {
            -interpolate(&rest, (k as f64 - middle) / block as f64)
        });
    }
    let to_hz = rate_hz / (TAU * block as f64);
    Some(Track {
        slope_hz: slope * to_hz,
        slope_std_hz: slope_std * to_hz,
    })
}

fn unwrapped(sums: &[Complex64]) -> Vec<f64> {
    let mut phase = sums.first().map_or(0.0, |z| z.arg());
    let steps = sums.windows(2).map(|pair| (pair[1] * pair[0].conj()).arg());
    std::iter::once(0.0)
        .chain(steps)
        .map(|step| {
            phase += step;
            phase
        })
        .collect()
}

/// Intercept, slope and standard deviation of the slope of the line through y(0), y(1), ….
fn line_fit(y: &[f64]) -> (f64, f64, f64) {
    let n = y.len() as f64;
    let centre = (n - 1.0) / 2.0;
    let spread = n * (n * n - 1.0) / 12.0;
    let mean = y.iter().sum::<f64>() / n;
    let slope = y
        .iter()
        .enumerate()
        .map(|(k, y)| (k as f64 - centre) * y)
        .sum::<f64>()
        / spread;
    let squares: f64 = y
        .iter()
        .enumerate()
        .map(|(k, y)| (y - mean - slope * (k as f64 - centre)).powi(2))
        .sum();
    (
        mean - slope * centre,
        slope,
        (squares / (n - 2.0).max(1.0) / spread).sqrt(),
    )
}

fn interpolate(y: &[f64], position: f64) -> f64 {
    let position = position.clamp(0.0, (y.len() - 1) as f64);
    let below = position as usize;
    let next = (below + 1).min(y.len() - 1);
    y[below] + (position - below as f64) * (y[next] - y[below])
}

/// Multiplies value k by e^(j · phase(k)), which changes so slowly that a line through every eighth value does.
fn rotate(values: &mut [Complex32], phase: impl Fn(usize) -> f64) {
    const STRIDE: usize = 8;
    let mut start = phase(0);
    for (index, chunk) in values.chunks_mut(STRIDE).enumerate() {
        let end = phase((index + 1) * STRIDE);
        turn(chunk, start, (end - start) / STRIDE as f64);
        start = end;
    }
}

/// Multiplies value k by e^(j(start + k·step)).
fn turn(values: &mut [Complex32], start: f64, step: f64) {
    rotation::rotate(values, Complex64::cis(start), Complex64::cis(step));
}
