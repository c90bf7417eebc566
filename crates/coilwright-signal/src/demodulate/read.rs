use std::borrow::Cow;

use super::collision::{Answer, Besides, Ear};
use super::deviation::{Deviation, Stretch};
use super::key::Symbols;
use super::levels::HalfBits;
use super::model::{Alone, Baseband, BitTimes, Collision, Expected, KeyRead, ListenOptions};
use super::rate::ComplexSums;
use super::search::Found;
use super::signal::{Along, BothParts, Sampling, Signal};
use super::taken::Taken;
use super::{axis, clock, harmonics, levels};
use crate::code::LineCode;
use crate::dsp::RunningSum;

/// Reads a key once a bit length is known.
#[derive(Clone, Copy)]
pub(super) struct Reader<'a> {
    pub stretch: &'a Stretch<'a>,
    /// The whole stretch at the sampling of the first look.
    pub deviation: &'a Deviation,
    /// The part of it that was searched, and its running sums.
    pub signal: &'a Signal,
    pub sums: &'a ComplexSums,
    /// Place of the stretch in the capture.
    pub start: u64,
    pub options: &'a ListenOptions,
    /// The sampling of the first look.
    pub sampling: Sampling,
    /// The carrier in the air.
    pub true_hz: f64,
    /// How the key looked when it was last heard, if nothing more need be looked for.
    pub alone: Option<Alone>,
}

/// Where the bits lie in the values along an axis.
#[derive(Clone, Copy)]
struct Place {
    start: f64,
    period: f64,
    axis_rad: f64,
    noise_variance: f64,
}

/// A key as read at one bit length.
pub(super) struct Read {
    pub found: Found,
    /// One key, or two.
    pub keys: Vec<KeyRead>,
    pub axis_rad: f64,
    /// The carrier, or what the bit clock says of it where the samples do not show it.
    pub carrier_hz: f64,
    pub collision: Option<Collision>,
    /// How it looks if no other answers.
    pub alone: Option<Alone>,
    pub baseband: Option<Baseband>,
}

impl Read {
    pub(super) fn has_frame(&self) -> bool {
        self.keys.iter().any(|key| !key.frames.is_empty())
    }

    /// What the next stretch may expect.
    pub(super) fn expected(&self) -> Option<Expected> {
        let key = self.keys.iter().rfind(|key| !key.frames.is_empty())?;
        Some(Expected {
            alone: self.alone,
            ..Expected::new(key.modulation, key.clocks_per_bit)
        })
    }

    /// Whether a line code explains the signal at this bit length better than any does at the other's.
    pub(super) fn explains_more(&self, other: &Self) -> bool {
        self.explained() > other.explained()
    }

    /// Natural logarithm of the odds of the best line code over a level of its own for every instant, less what is
    /// common to all bit lengths: that a half-bit is one level saves the same for each half-bit that there is not.
    fn explained(&self) -> f64 {
        let Some(key) = self.keys.first() else {
            return f64::NEG_INFINITY;
        };
        let evidence = key.readings.first().map_or(0.0, |best| best.evidence);
        let bits = key.soft_bits.len() as f64 * f64::from(key.clocks_per_bit);
        evidence - 2.0 * bits / f64::from(self.found.clocks) * std::f64::consts::LN_2
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

    /// The part that was searched, with `factor` times as many values.
    pub(super) fn finer_signal(&self, factor: usize) -> Signal {
        let values = self.signal.values.len() / self.sampling.factor;
        let sampling = Sampling {
            factor: self.sampling.factor * factor,
            ..self.sampling
        };
        let middle = self.deviation.middle(values);
        Signal::of(&middle, self.stretch, sampling, &self.bit_rates_hz())
    }

    /// The usual bit rates.
    pub(super) fn bit_rates_hz(&self) -> Vec<f64> {
        let clocks = self.options.clocks_per_bit.iter();
        clocks
            .map(|&clocks| self.true_hz / f64::from(clocks))
            .collect()
    }

    /// The read at one bit length.
    pub(super) fn read(&self, found: Found) -> Option<Read> {
        let axis_rad = axis::principal(found.score.second_moment);
        let finer = self.finer(Sampling::of(self.stretch, found.clocks.into()))?;
        let known_smear = self.alone.and_then(|alone| alone.smear);
        let known = known_smear.map(|smear| (smear, finer.both_parts(self)));
        let Along {
            values,
            grid,
            noise_per_hz,
        } = match &known {
            Some((_, both)) => both.along(axis_rad),
            None => finer.along(axis_rad, self),
        };
        let period = self.period(
            &values,
            f64::from(found.clocks) * grid.rate_hz / found.clock_hz,
        );
        let noise_variance = noise_per_hz * grid.rate_hz / (2.0 * period);
        let (plain_start, taken, smear) = if let Some((smear, both)) = known {
            let taken = Taken::behind(&smear, &both.values, period, noise_variance);
            (taken.start, taken, Some(smear))
        } else {
            let plain = Taken::plain(&values, period, noise_variance);
            let start = plain.start;
            let (taken, smear) = if self.alone.is_none() && plain.is_smeared(&values) {
                plain.behind_ring(&finer.both_parts(self).values)
            } else {
                (plain, None)
            };
            (start, taken, smear)
        };
        let place = Place {
            start: plain_start,
            period,
            axis_rad,
            noise_variance,
        };
        let first = self.start as f64;
        let start = self.signal.grid.time(grid.position(taken.start));
        let symbols = Symbols {
            values: taken.symbols,
            noise_variance: taken.noise_variance,
            weighed: taken.weighed,
            times: BitTimes {
                first: first + grid.position(taken.start),
                period: period * grid.step,
            },
            clocks_per_bit: found.clocks,
        };
        let mut key = symbols.read();
        if key.frames.is_empty() {
            let times = BitTimes {
                first: first + grid.position(place.start),
                ..symbols.times
            };
            let clocks = found.clocks;
            self.explain(&mut key, (clocks, times), &RunningSum::of(&values), place);
        }
        let baseband = self.options.keep_baseband.then(|| Baseband {
            values,
            first: first + grid.position(0.5),
            step: grid.step,
        });
        let answer = Answer {
            key,
            found,
            symbols: symbols.values,
            start,
        };
        let read = Read {
            found,
            keys: Vec::new(),
            axis_rad,
            carrier_hz: f64::from(found.clocks) * grid.rate_hz / period,
            collision: None,
            alone: None,
            baseband,
        };
        Some(match self.besides(answer) {
            Besides::Nothing { key, rest } => Read {
                alone: rest.map(|rest| Alone { smear, rest }),
                keys: vec![key],
                ..read
            },
            Besides::Another(pair) => Read {
                keys: pair.keys,
                collision: Some(pair.collision),
                ..read
            },
        })
    }

    /// Says which line codes explain a signal without a frame; one that needs levels that last is read again with a
    /// lower high pass.
    fn explain(
        &self,
        key: &mut KeyRead,
        (clocks, times): (u32, BitTimes),
        sums: &RunningSum,
        place: Place,
    ) {
        let half_bits = |sums: &RunningSum| {
            let Place { start, period, .. } = place;
            HalfBits::of(sums, start, period, place.noise_variance, times, clocks).read()
        };
        let usual = half_bits(sums);
        if let Some(explained) = usual.filter(is_of_symbols) {
            key.readings = explained.readings;
            return;
        }
        let sampling = Sampling {
            high_pass_hz: levels::HIGH_PASS_HZ,
            ..Sampling::of(self.stretch, clocks.into())
        };
        let Some(finer) = self.finer(sampling) else {
            return;
        };
        let along = finer.along(place.axis_rad, self);
        let low = half_bits(&RunningSum::of(&along.values));
        if let Some(explained) = low.filter(|key| !is_of_symbols(key)) {
            *key = explained;
        }
    }

    /// What answers besides the key.
    fn besides(&self, answer: Answer) -> Besides {
        // Keys of other codes have no symbols to tell another from.
        if !(answer.key.line_code.is_none() || is_of_symbols(&answer.key)) {
            return Besides::Nothing {
                key: answer.key,
                rest: None,
            };
        }
        let to_hz = self.stretch.sample_rate_hz / self.deviation.step;
        let ear = Ear {
            signal: self.signal,
            sums: self.sums,
            clocks_per_bit: &self.options.clocks_per_bit,
            harmonics_hz: harmonics::places(self.stretch, self.deviation)
                .into_iter()
                .map(|place| place * to_hz)
                .collect(),
            stretch_start: self.start as f64,
            known_rest: self.alone.map(|alone| alone.rest),
        };
        ear.besides(answer)
    }

    /// The deviation of the whole stretch at a sampling.
    pub(super) fn finer(&self, sampling: Sampling) -> Option<Finer<'_>> {
        let deviation = if sampling.decimation == self.deviation.step.round() as usize {
            Cow::Borrowed(self.deviation)
        } else {
            Cow::Owned(Deviation::of(self.stretch, sampling.decimation)?)
        };
        Some(Finer {
            deviation,
            sampling,
        })
    }

    /// The bit period: what the carrier says, or the signal itself where the samples do not show the carrier.
    fn period(&self, values: &[f32], period: f64) -> f64 {
        if self.stretch.carrier.has_exact_clock() {
            return period;
        }
        clock::refine(values, clock::refine(values, period))
    }
}

/// Whether a key's line code is one whose bits are symbols or lie between two.
fn is_of_symbols(key: &KeyRead) -> bool {
    matches!(
        key.line_code,
        Some(LineCode::Manchester | LineCode::Biphase)
    )
}

/// The whole stretch at the sampling for a bit length.
pub(super) struct Finer<'a> {
    deviation: Cow<'a, Deviation>,
    sampling: Sampling,
}

impl Finer<'_> {
    fn along(&self, axis_rad: f64, reader: &Reader<'_>) -> Along {
        if self.is_searched(reader) {
            return BothParts::of_signal(reader.signal).along(axis_rad);
        }
        let rate_hz = reader.stretch.sample_rate_hz;
        Along::of(
            &self.deviation,
            rate_hz,
            self.sampling,
            axis_rad,
            reader.signal,
        )
    }

    pub(super) fn both_parts<'a>(&self, reader: &Reader<'a>) -> BothParts<'a> {
        if self.is_searched(reader) {
            return BothParts::of_signal(reader.signal);
        }
        let rate_hz = reader.stretch.sample_rate_hz;
        BothParts::of(&self.deviation, rate_hz, self.sampling, reader.signal)
    }
    /// Whether the signal that was searched is the whole stretch at this sampling.
    fn is_searched(&self, reader: &Reader<'_>) -> bool {
        let values = self.sampling.factor * self.deviation.values.len();
        self.sampling == reader.sampling && values == reader.signal.values.len()
    }
}
