use std::borrow::Cow;

use super::collision::{Answer, Besides, Ear};
use super::deviation::{Deviation, Stretch};
use super::key::Symbols;
use super::levels::{self, HalfBits};
use super::model::{
    Alone, Baseband, BitTimes, CodeReading, Collision, Expected, KeyRead, ListenOptions,
};
use super::search::Found;
use super::signal::{Along, BothParts, Grid, Sampling, Signal};
use super::taken::Taken;
use super::weight::{Balance, Seen};
use super::{axis, clock, harmonics};
use crate::code::LineCode;
use crate::dsp::{ComplexSums, RunningSum};

/// Bits keep to a code when it explains this share of what bits that follow it surely would give. Words of another code that
/// repeat keep to a wrong one in part only.
const KEPT: f64 = 0.9;
/// A high pass that leaves levels that last as they are, where no hum is.
const LOW_HIGH_PASS_HZ: f64 = 40.0;

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
    /// Where no frame is found, how likely the signal is under what was read.
    pub weight: f64,
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

    /// Whether what was read explains the signal better than what the other read does.
    pub(super) fn explains_more(&self, other: &Self) -> bool {
        self.weight > other.weight && !self.splits_bits_of(other)
    }

    /// Whether this takes the halves of the other's bits, which a code orders, for bits of a code that orders less.
    ///
    /// The halves explain whatever the bits do, and behind a ring more, since their levels may follow what it smears; bits of half
    /// the length in earnest would not keep to the code of the other.
    fn splits_bits_of(&self, other: &Self) -> bool {
        let by_levels = |read: &Self| {
            read.best_reading()
                .map(|best| best.line_code.is_of_levels())
        };
        2 * self.found.clocks == other.found.clocks
            && by_levels(self) == Some(true)
            && by_levels(other) == Some(false)
            && other.keeps_to_its_code()
    }

    /// Whether the bits follow the code that explains them best all but everywhere.
    pub(super) fn keeps_to_its_code(&self) -> bool {
        let bits = self.keys.first().map_or(0, |key| key.bits.len());
        let surely = std::f64::consts::LN_2 * bits as f64;
        self.best_reading()
            .is_some_and(|best| best.evidence >= KEPT * surely)
    }

    fn best_reading(&self) -> Option<&CodeReading> {
        self.keys.first()?.readings.first()
    }

    /// The bit length of the key, which may be twice the one that it was found by.
    pub(super) fn clocks_per_bit(&self) -> u32 {
        self.keys
            .first()
            .map_or(self.found.clocks, |key| key.clocks_per_bit)
    }

    /// Whether a line code explains the signal.
    pub(super) fn has_code(&self) -> bool {
        self.keys.iter().any(|key| !key.readings.is_empty())
    }
}

impl Reader<'_> {
    /// The read at the first of several bit lengths that gives a frame, or else at the one that explains the signal best.
    pub(super) fn read_first_with_frame(&self, found: Vec<Found>) -> Option<Read> {
        let mut best: Option<Read> = None;
        for found in found.into_iter().filter(|found| found.score.is_modulated()) {
            let read = self.read(found)?;
            if read.has_frame() {
                return Some(read);
            }
            best = match best {
                Some(best) if !read.explains_more(&best) => Some(best),
                _ => Some(read),
            };
        }
        best
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
        let mut weight = 0.0;
        if key.frames.is_empty() {
            weight = self.explain(&mut key, &values, &finer, (place, grid));
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
            weight,
        };
        let has_code = !answer.key.readings.is_empty();
        Some(match self.besides(answer) {
            Besides::Nothing { key, rest } => Read {
                alone: rest.map(|rest| Alone { smear, rest }),
                keys: vec![key],
                ..read
            },
            // Half-bits at random are no rival of two keys: they fit one key of any code as well.
            Besides::Another(pair) => Read {
                weight: if has_code {
                    pair.weight.max(read.weight)
                } else {
                    pair.weight
                },
                keys: pair.keys,
                collision: Some(pair.collision),
                ..read
            },
        })
    }

    /// Says which line codes explain a signal without a frame, and how likely it is under the best; one that needs levels that
    /// last is read with what the high pass took from them put back.
    fn explain(
        &self,
        key: &mut KeyRead,
        values: &[f32],
        finer: &Finer<'_>,
        (place, grid): (Place, Grid),
    ) -> f64 {
        let (start, half) = (place.start, 0.5 * place.period);
        let mut half_bits = HalfBits {
            values: levels::means(&RunningSum::of(values), start, half),
            low: None,
            high_pass: finer.sampling.high_pass_hz / grid.rate_hz * half,
            noise_variance: 2.0 * place.noise_variance,
            times: BitTimes {
                first: self.start as f64 + grid.position(start),
                period: place.period * grid.step,
            },
            clocks_per_bit: key.clocks_per_bit,
        };
        let searched = self.signal.grid;
        let searched_half = half * grid.step / searched.step;
        let seen = Seen {
            balance: Balance::of(self.signal, self.sampling, self.true_hz),
            sums: self.sums,
            start: searched.time(grid.position(start)),
            half: searched_half,
            high_pass: self.sampling.high_pass_hz / searched.rate_hz * searched_half,
        };
        let explained = half_bits.symbols(&seen).or_else(|| {
            let low = finer.behind(LOW_HIGH_PASS_HZ).along(place.axis_rad, self);
            half_bits.low = Some(levels::means(&RunningSum::of(&low.values), start, half));
            half_bits.levels(&seen)
        });
        let Some(explained) = explained else {
            return half_bits.at_random(&seen);
        };
        match explained.key {
            Some(of_levels) => *key = of_levels,
            None => key.readings = explained.readings,
        }
        explained.weight
    }

    /// What answers besides the key.
    fn besides(&self, answer: Answer) -> Besides {
        // Keys of other codes have no symbols to tell another from.
        if answer.key.line_code.is_some_and(LineCode::is_of_levels) {
            return Besides::Nothing {
                key: answer.key,
                rest: None,
            };
        }
        let to_hz = self.stretch.sample_rate_hz / self.deviation.step;
        let ear = Ear {
            signal: self.signal,
            sums: self.sums,
            sampling: self.sampling,
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

/// The whole stretch at the sampling for a bit length.
pub(super) struct Finer<'a> {
    deviation: Cow<'a, Deviation>,
    sampling: Sampling,
}

impl Finer<'_> {
    /// The same behind another high pass.
    fn behind(&self, high_pass_hz: f64) -> Finer<'_> {
        Finer {
            deviation: Cow::Borrowed(&self.deviation),
            sampling: Sampling {
                high_pass_hz,
                ..self.sampling
            },
        }
    }

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
