use super::deviation::{Deviation, Stretch};
use super::key::Symbols;
use super::model::{Baseband, BitTimes, Collision, KeyRead, ListenOptions};
use super::search::Found;
use super::signal::{Along, Sampling, Signal};
use super::{axis, clock, collision, timing};
use crate::dsp::RunningSum;

/// Reads a key once a bit length is known.
pub(super) struct Reader<'a> {
    pub stretch: &'a Stretch<'a>,
    /// The whole stretch at the sampling of the first look.
    pub deviation: &'a Deviation,
    /// The part of it that was searched.
    pub signal: &'a Signal,
    /// Place of the stretch in the capture.
    pub start: u64,
    pub options: &'a ListenOptions,
}

/// A key as read at one bit length.
pub(super) struct Read {
    pub found: Found,
    pub key: KeyRead,
    pub axis_rad: f64,
    /// The carrier, or what the bit clock says of it where the samples do not show it.
    pub carrier_hz: f64,
    pub collision: Option<Collision>,
    pub baseband: Option<Baseband>,
}

impl Read {
    pub(super) fn has_frame(&self) -> bool {
        !self.key.frames.is_empty()
    }
}

impl Reader<'_> {
    /// The read at the first of several bit lengths that gives a frame, or else at the first.
    pub(super) fn read_first_with_frame(&self, found: Vec<Found>) -> Option<Read> {
        let mut first = None;
        for found in found.into_iter().filter(|found| found.score.is_modulated()) {
            let read = self.read(found)?;
            if read.has_frame() {
                return Some(read);
            }
            first = first.or(Some(read));
        }
        first
    }

    /// The read at one bit length.
    pub(super) fn read(&self, found: Found) -> Option<Read> {
        let axis_rad = axis::principal(found.score.second_moment);
        let Along { values, grid } = self.along(found.clocks, axis_rad)?;
        let period = self.period(
            &values,
            f64::from(found.clocks) * grid.rate_hz / found.clock_hz,
        );
        let sums = RunningSum::of(&values);
        let start = timing::best_start(&sums, period);
        let first = self.start as f64;
        let noise_variance = self.signal.noise_per_hz * grid.rate_hz / (2.0 * period);
        let symbols = Symbols {
            values: timing::symbols(&sums, start, period)
                .map(|m| m as f32)
                .collect(),
            noise_variance,
            times: BitTimes {
                first: first + grid.position(start),
                period: period * grid.step,
            },
            clocks_per_bit: found.clocks,
        };
        let baseband = self.options.keep_baseband.then(|| Baseband {
            values,
            first: first + grid.position(0.5),
            step: grid.step,
        });
        Some(Read {
            found,
            key: symbols.read(),
            axis_rad,
            carrier_hz: f64::from(found.clocks) * grid.rate_hz / period,
            collision: collision::find(&sums, start, period, noise_variance),
            baseband,
        })
    }

    /// The deviation along the axis, sampled finely enough for the bit length.
    fn along(&self, clocks: u32, axis_rad: f64) -> Option<Along> {
        let sampling = Sampling::of(self.stretch, clocks.into());
        let lines = &self.signal.lines;
        let sample_rate_hz = self.stretch.sample_rate_hz;
        if sampling.decimation == self.deviation.step.round() as usize {
            return Some(Along::of(
                self.deviation,
                sample_rate_hz,
                sampling,
                axis_rad,
                lines,
            ));
        }
        let finer = Deviation::of(self.stretch, sampling.decimation)?;
        Some(Along::of(&finer, sample_rate_hz, sampling, axis_rad, lines))
    }

    /// The bit period: what the carrier says, or the signal itself where the samples do not show the carrier.
    fn period(&self, values: &[f32], period: f64) -> f64 {
        if self.stretch.carrier.has_exact_clock() {
            return period;
        }
        clock::refine(values, clock::refine(values, period))
    }
}
