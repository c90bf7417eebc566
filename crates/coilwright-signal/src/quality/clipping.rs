use pulp::Arch;

use super::kernel::CountEnds;
use super::result::Clipping;

/// Width of the outermost band, as part of the amplitude.
const BAND: f64 = 0.005;
/// The band that it is held against reaches this many times as deep.
const SHOULDER: f64 = 4.0;
/// Width of the outermost band in steps of the stored format, at least.
const BAND_STEPS: f64 = 1.5;
/// A sine has at most 1.7 times as many values in the outermost band as in the one behind it.
pub(super) const PILE_RATIO: f64 = 4.0;
/// Fewest values in the outermost band from which the pile says something.
const PILE_FEWEST: u64 = 64;
/// Up to so many values at full scale may be a signal that just fits.
pub(super) const FULL_SCALE_COUNT: u64 = 2;
/// Run lengths are looked at in the first chunks that reach the level, and then in one of 64.
const RUN_CHUNKS: u64 = 16;
const RUN_STRIDE: u64 = 64;

/// How the values crowd at one end of their range; the lower end is watched with its sign turned.
#[derive(Clone, Copy, Debug)]
struct ExtremeWatch {
    sign: f32,
    level: f64,
    band: f64,
    top: u64,
    shoulder: u64,
    chunks: u64,
    longest_run: u64,
}

/// The stored format, as far as it bounds the values.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    pub(super) full_scale: Option<f64>,
    pub(super) step: Option<f64>,
}

impl Scale {
    /// The level from which a value counts as being at full scale.
    fn full_from(self) -> Option<f64> {
        Some(self.full_scale? - BAND_STEPS * self.step.unwrap_or(0.0))
    }

    fn is_full(self, level: f64) -> bool {
        self.full_from().is_some_and(|full_from| level >= full_from)
    }

    fn band(self, level: f64, amplitude: f64) -> f64 {
        match self.full_from() {
            Some(full_from) if level >= full_from => (level - full_from).max(f64::MIN_POSITIVE),
            _ => (BAND_STEPS * self.step.unwrap_or(0.0)).max(BAND * amplitude),
        }
    }
}

impl ExtremeWatch {
    const fn new(sign: f32) -> Self {
        Self {
            sign,
            level: f64::NEG_INFINITY,
            band: 0.0,
            top: 0,
            shoulder: 0,
            chunks: 0,
            longest_run: 0,
        }
    }

    /// Takes note of a chunk whose extreme, times the sign, is `extreme`: the level may move.
    fn see(&mut self, extreme: f64, amplitude: f64, scale: Scale) {
        let band = scale.band(self.level.max(extreme), amplitude);
        let is_new = extreme > self.level + self.band || band > 2.0 * self.band;
        if is_new && amplitude > 0.0 {
            *self = Self {
                level: self.level.max(extreme),
                band,
                ..Self::new(self.sign)
            };
        }
    }

    /// Whether a chunk with this extreme has anything to count.
    fn reaches(&self, extreme: f64) -> bool {
        self.band > 0.0 && extreme >= self.level - SHOULDER * self.band
    }

    /// The thresholds of both bands, times the sign.
    fn thresholds(&self) -> [f32; 2] {
        [self.band, SHOULDER * self.band].map(|depth| self.sign * (self.level - depth) as f32)
    }

    fn add(&mut self, [top, both]: [u32; 2], values: &[f32], width: usize) {
        self.top += u64::from(top);
        self.shoulder += u64::from(both - top);
        if top > 1 {
            self.chunks += 1;
            if self.chunks <= RUN_CHUNKS || self.chunks.is_multiple_of(RUN_STRIDE) {
                self.measure_runs(values, width);
            }
        }
    }

    fn measure_runs(&mut self, values: &[f32], width: usize) {
        let threshold = (self.level - self.band) as f32;
        for component in 0..width {
            let mut run = 0;
            for value in values.iter().skip(component).step_by(width) {
                run = if self.sign * value >= threshold {
                    run + 1
                } else {
                    0
                };
                self.longest_run = self.longest_run.max(run);
            }
        }
    }
}

/// How the values crowd at both ends of their range.
#[derive(Clone, Copy, Debug)]
pub(super) struct EndsWatch {
    scale: Scale,
    width: usize,
    upper: ExtremeWatch,
    lower: ExtremeWatch,
}

impl EndsWatch {
    pub(super) const fn new(scale: Scale, width: usize) -> Self {
        Self {
            scale,
            width,
            upper: ExtremeWatch::new(1.0),
            lower: ExtremeWatch::new(-1.0),
        }
    }

    /// Takes a chunk whose values range from `low` to `high`; `amplitude` is half the range of all values.
    pub(super) fn push(
        &mut self,
        arch: Arch,
        values: &[f32],
        (low, high): (f32, f32),
        amplitude: f64,
    ) {
        let (high, low) = (f64::from(high), -f64::from(low));
        self.upper.see(high, amplitude, self.scale);
        self.lower.see(low, amplitude, self.scale);
        if !(self.upper.reaches(high) || self.lower.reaches(low)) {
            return;
        }
        let (upper, lower) = arch.dispatch(CountEnds {
            values,
            upper: self.upper.thresholds(),
            lower: self.lower.thresholds(),
        });
        if self.upper.reaches(high) {
            self.upper.add(upper, values, self.width);
        }
        if self.lower.reaches(low) {
            self.lower.add(lower, values, self.width);
        }
    }

    /// The verdict on both ends; `amplitude` is half the range of all `values` values.
    pub(super) fn finish(
        self,
        values: u64,
        amplitude: f64,
        carrier: Option<CarrierSampling>,
    ) -> Clipping {
        clipping(
            [self.upper, self.lower],
            values,
            amplitude,
            self.scale,
            carrier,
        )
    }
}

/// What is known of the carrier when the watch ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct CarrierSampling {
    /// Samples of one cycle.
    pub(super) samples_per_cycle: f64,
    /// Whether every cycle is sampled at the same phases.
    pub(super) synchronous: bool,
}

/// Whether one end is cut off, and whether that is at full scale.
fn is_clipped(
    watch: &ExtremeWatch,
    amplitude: f64,
    scale: Scale,
    carrier: Option<CarrierSampling>,
) -> (bool, bool) {
    if scale.is_full(watch.level) {
        return (watch.top > FULL_SCALE_COUNT, true);
    }
    // A flat envelope piles up as well: only a carrier can be judged by its shape.
    let Some(carrier) = carrier else {
        return (false, false);
    };
    let piled = watch.top >= PILE_FEWEST && watch.top as f64 > PILE_RATIO * watch.shoulder as f64;
    let part = (2.0 * watch.band / amplitude).min(1.0);
    let expected_run = (1.0 - part).acos() / std::f64::consts::PI * carrier.samples_per_cycle;
    let long = watch.longest_run as f64 >= expected_run + 2.0;
    (piled && (long || !carrier.synchronous), false)
}

fn clipping(
    watches: [ExtremeWatch; 2],
    values: u64,
    amplitude: f64,
    scale: Scale,
    carrier: Option<CarrierSampling>,
) -> Clipping {
    let judged = watches.map(|watch| (watch, is_clipped(&watch, amplitude, scale, carrier)));
    let clipped: Vec<_> = judged.iter().filter(|(_, (clipped, _))| *clipped).collect();
    let highest = watches
        .iter()
        .map(|watch| watch.level.abs())
        .fold(0.0, f64::max);
    let count: u64 = clipped.iter().map(|(watch, _)| watch.top).sum();
    let level = clipped
        .iter()
        .map(|(watch, _)| watch.level.abs())
        .reduce(f64::max);
    Clipping {
        clipped: !clipped.is_empty(),
        at_full_scale: clipped.iter().any(|(_, (_, at_full_scale))| *at_full_scale),
        level: level.unwrap_or(if highest.is_finite() { highest } else { 0.0 }),
        count,
        fraction: count as f64 / values.max(1) as f64,
        longest_run_samples: clipped
            .iter()
            .map(|(watch, _)| watch.longest_run)
            .max()
            .unwrap_or(0),
    }
}
