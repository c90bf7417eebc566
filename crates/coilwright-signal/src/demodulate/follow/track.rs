use std::sync::Arc;

use super::super::axis;
use super::super::deviation::{Level, Stretch};
use super::super::key::coding;
use super::super::model::{BitTimes, KeyRead, Listening};
use super::super::modulation::Modulation;
use super::super::timing;
use super::look::{Look, Run};
use super::repeated_key::{RepeatedKey, Shown};
use super::template::{Comparison, Template, cells_per_second};
use crate::dsp::RunningSum;
use crate::frame::soft::Coding;

/// Energy of a bit over noise density from which a key is followed, in decibels: below, what a second key leaves would drown in
/// the noise of single cells.
const LEAST_EB_N0_DB: f64 = 20.0;
/// What the template leaves of its own stretch may be this many times the noise.
const MOST_LEFT: f64 = 2.0;
/// What it leaves of another stretch may be more by this share. The noise of two stretches of 0.45 s differs by 2 %, and was seen to by 6 %.
const MORE_LEFT: f64 = 0.08;
/// Where it leaves less than this share, a new template would show more.
const LESS_LEFT: f64 = 0.5;
/// The key moves the carrier by the same amount, give or take this share, and in the same direction, give or take this angle.
const SAME_SIZE: f64 = 0.2;
const SAME_AXIS_RAD: f64 = 0.2;
/// It keeps to the clock that the carrier gives to this part of a bit.
const SAME_TIME: f64 = 0.02;

/// A key that can be followed from stretch to stretch.
#[derive(Clone, Debug)]
pub(in super::super) struct Track {
    last: Arc<FullLook>,
    /// Where a cycle of the template begins, in samples from the start of the capture.
    zero: f64,
}

/// Two tracks are the same where they share what is known and where.
impl PartialEq for Track {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.last, &other.last) && self.zero.total_cmp(&other.zero).is_eq()
    }
}

/// What the last full look showed.
#[derive(Debug)]
struct FullLook {
    key: RepeatedKey,
    template: Template,
    /// Mean power of a cell that the template left of its own stretch.
    left: f64,
    noise_dbc_hz: f64,
    axis_rad: f64,
}

/// What a quick look showed.
pub(in super::super) struct Followed {
    pub level: Level,
    pub key: KeyRead,
    pub axis_rad: f64,
    pub noise_dbc_hz: f64,
    /// The key from here on.
    pub track: Track,
}

impl Track {
    /// A key that was just read in a stretch, to be followed in the next one; `None` where more than its frames and noise is
    /// there, or too few of them.
    pub(in super::super) fn of(stretch: &Stretch<'_>, listening: &Listening) -> Option<Self> {
        let [key] = listening.keys.as_slice() else {
            return None;
        };
        let is_plain = key.modulation == Modulation::Ask
            && key.eb_n0_db >= LEAST_EB_N0_DB
            && listening.lines.is_empty()
            && listening.collision.is_none()
            && key.frames.iter().all(|read| read.corrected_bits == 0);
        let read = key.frames.first().filter(|_| is_plain)?;
        let axis_rad = listening.axis_rad?;
        let look = Look::of(stretch, key.clocks_per_bit)?;
        let first = listening.span.start as f64;
        let BitTimes { period: bit, .. } = key.bit_times;
        let before = match coding(key.line_code?) {
            Coding::Direct => 0.0,
            // The first bit lies between the middles of the first two symbols.
            Coding::Differential => 0.5 * bit,
        };
        let near = look.time(read.span.start as f64 - before - first);
        let zero = symbol_start(&look, axis_rad, bit / look.block, near);
        let noise = 10.0_f64.powf(listening.noise_dbc_hz / 10.0);
        let most_left = MOST_LEFT * noise * cells_per_second(stretch.sample_rate_hz / bit);
        let length = read.frame.bits.len();
        // Differential symbols may come back inverted.
        [length, 2 * length].into_iter().find_map(|cycle| {
            let run = Run::of(&look, zero, bit / look.block, cycle)?;
            let (template, left) = Template::learnt(&look, run, cycle)?;
            let key = RepeatedKey::of(key, read, &template, axis_rad)?;
            (left <= most_left).then(|| Self {
                last: Arc::new(FullLook {
                    key,
                    template,
                    left,
                    noise_dbc_hz: listening.noise_dbc_hz,
                    axis_rad,
                }),
                zero: look.position(zero) + first,
            })
        })
    }

    /// What a quick look at the stretch that begins at sample `first` shows, if it is nothing but the same key.
    pub(in super::super) fn follow(&self, stretch: &Stretch<'_>, first: u64) -> Option<Followed> {
        let FullLook { key, template, .. } = &*self.last;
        let look = Look::of(stretch, key.clocks_per_bit())?;
        let true_hz = stretch.carrier.true_hz_at(look.level.offset_hz);
        let bit = f64::from(key.clocks_per_bit()) * stretch.sample_rate_hz / true_hz;
        let first = first as f64;
        let zero = look.time(self.zero - first);
        let run = Run::of(&look, zero, bit / look.block, template.cycle())?;
        let comparison = template.compare(&look, run);
        if !self.last.is_shown_again(&comparison) {
            return None;
        }
        let noise = comparison.left / self.last.left;
        let key = key.read(&Shown {
            comparison: &comparison,
            times: BitTimes {
                first: first + look.position(run.start),
                period: bit,
            },
            place: run.place,
            noise,
        })?;
        Some(Followed {
            key,
            axis_rad: self.last.axis_rad + comparison.gain.arg(),
            noise_dbc_hz: self.last.noise_dbc_hz + 10.0 * noise.log10(),
            track: Self {
                last: Arc::clone(&self.last),
                zero: self.zero + (run.passed + comparison.delay) * bit,
            },
            level: look.level,
        })
    }
}

impl FullLook {
    fn is_shown_again(&self, comparison: &Comparison) -> bool {
        (LESS_LEFT..=1.0 + MORE_LEFT).contains(&(comparison.left / self.left))
            && (comparison.gain.norm() - 1.0).abs() <= SAME_SIZE
            && comparison.gain.arg().abs() <= SAME_AXIS_RAD
            && comparison.delay.abs() <= SAME_TIME
    }
}

/// The start of the symbol nearest to the time `near`, in blocks.
fn symbol_start(look: &Look, axis_rad: f64, period: f64, near: f64) -> f64 {
    let along = RunningSum::of(&axis::project(&look.values, axis_rad));
    let start = timing::best_start(&along, period);
    start + ((near - start) / period).round() * period
}
