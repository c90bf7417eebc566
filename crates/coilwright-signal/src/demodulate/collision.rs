use super::key::Symbols;
use super::model::{BitTimes, Collision, KeyRead};
use super::rest::{PHASES, Rest};
use super::search::{Found, Search};
use super::signal::{Sampling, Signal};
use super::taken::Taken;
use super::weight::Balance;
use super::{axis, harmonics};
use crate::dsp::ComplexSums;

/// A second key that cannot be read moves the carrier by at least this share of the first; less is the first one's own
/// distortion, which reached 0.06 in simulated captures of single keys, or what harmonics in the first one's own lines
/// leave, 0.14. Two keys there began at 0.22.
const LEAST_SHARE: f64 = 0.18;
/// Its statistic reaches this many times the threshold.
const LEAST_RATIO: f64 = 1.5;
/// A key that another covers counts as read from this many frames.
const LEAST_REPEATS: usize = 2;
/// A key whose answer could be a frame moves the carrier by at least this share of the first: what the first one's symbols
/// do not explain of itself where nothing distorts it reached 0.013.
const LEAST_READABLE_SHARE: f64 = 0.025;
/// Another key is looked for again once what looks like one in the rest has grown by this factor, in power, over what
/// turned out to be none.
const GROWN: f64 = 1.5;
/// Bits that show whether it has.
const GLANCE_BITS: usize = 128;
/// How often each of two keys is read anew without what is known of the other.
const ROUNDS: usize = 2;

/// A key, and where its symbols lie in the signal that another is looked for in.
pub(super) struct Answer {
    pub key: KeyRead,
    pub found: Found,
    /// Its symbols; their signs count.
    pub symbols: Vec<f32>,
    /// Start of its first symbol, in values of the signal.
    pub start: f64,
}

/// What answers besides a key.
pub(super) enum Besides {
    /// No other.
    Nothing {
        /// The key.
        key: KeyRead,
        /// What looks like another in what it leaves unexplained, in parts of its own power, where that was measured.
        rest: Option<f64>,
    },
    Another(Pair),
}

/// Two keys at once.
pub(super) struct Pair {
    pub collision: Collision,
    /// Those that could be read, the stronger first; the first alone if none could.
    pub keys: Vec<KeyRead>,
    /// How likely the signal is under two keys.
    pub weight: f64,
}

/// The keys that answer in a signal besides known ones.
pub(super) struct Ear<'a> {
    pub signal: &'a Signal,
    /// Its running sums.
    pub sums: &'a ComplexSums,
    pub sampling: Sampling,
    pub clocks_per_bit: &'a [u32],
    /// Where harmonics of the drive fold to, from the carrier.
    pub harmonics_hz: Vec<f64>,
    /// Place of the stretch in the capture.
    pub stretch_start: f64,
    /// What looked like another key, in parts of this one's power, when no other answered.
    pub known_rest: Option<f64>,
}

/// What a known key does not explain of a signal.
struct Unexplained {
    signal: Signal,
    /// Where its first value begins and how long each is, in values of the signal.
    start: f64,
    step: f64,
    /// The bit lengths that explain some of it, the best first.
    found: Vec<Found>,
    /// The power that the best of them explains, relative to the carrier's.
    power: f64,
    /// The power that the known key explains of a value.
    known_power: f64,
}

impl Ear<'_> {
    /// What answers besides the first key; another is not looked for where what the first leaves is too little, or has not
    /// grown since it was found to hold none.
    pub(super) fn besides(&self, first: Answer) -> Besides {
        let depth = first.key.depth.value;
        let least = LEAST_READABLE_SHARE.powi(2);
        if let Some(known) = self.known_rest
            && let Some(glance) = self.without(&first, GLANCE_BITS)
            && glance.power <= (GROWN * known + least) * depth.powi(2)
        {
            return Besides::Nothing {
                key: first.key,
                rest: Some(known),
            };
        }
        let Some(unexplained) = self.without(&first, usize::MAX) else {
            return Besides::Nothing {
                key: first.key,
                rest: None,
            };
        };
        let rest = unexplained.power / depth.powi(2);
        let key = first.key.clone();
        let pair = (rest > least).then(|| self.pair(first, unexplained));
        match pair.flatten() {
            Some(pair) => Besides::Another(pair),
            None => Besides::Nothing {
                key,
                rest: Some(rest),
            },
        }
    }

    /// A second key on the carrier of the first, from what the first does not explain: a frame of its own, or an answer too
    /// strong for the first one's distortion.
    ///
    /// Where one of them has no frame, each is looked for again in what the other leaves: two keys of much the same strength
    /// spoil each other's symbols, and every round mends some.
    fn pair(&self, first: Answer, unexplained: Unexplained) -> Option<Pair> {
        let weight = self.weight(&first, &unexplained);
        let second = self.key_in(unexplained, &first)?;
        let collision = collision(&first, &second);
        let stands_out = second.key.depth.value
            > (LEAST_SHARE * first.key.depth.value).max(self.strongest_line())
            && collision.statistic > LEAST_RATIO * collision.threshold;
        if !stands_out && !differs(&second.key, &first.key) {
            return None;
        }
        let (original, mut first, mut second) = (first.key.clone(), first, second);
        for _ in 0..ROUNDS {
            if differs(&second.key, &first.key) && !first.key.frames.is_empty() {
                break;
            }
            mend(&mut first, self.other_than(&second));
            mend(&mut second, self.other_than(&first));
        }
        let mut keys = vec![if first.key.frames.is_empty() {
            original
        } else {
            first.key
        }];
        if differs(&second.key, &keys[0]) {
            keys.push(second.key);
        }
        if keys.iter().any(|key| !key.frames.is_empty()) {
            keys.retain(|key| !key.frames.is_empty());
        }
        keys.sort_by(|a, b| b.depth.value.total_cmp(&a.depth.value));
        Some(Pair {
            collision,
            keys,
            weight,
        })
    }

    /// The strongest line that was taken out: where one was, what looks like a second key without a frame may be what is
    /// left of it.
    fn strongest_line(&self) -> f64 {
        let amplitudes = self
            .signal
            .lines
            .iter()
            .map(|line| 10_f64.powf(line.level_dbc / 20.0));
        amplitudes.fold(0.0, f64::max)
    }

    /// The key that answers besides a known one.
    fn other_than(&self, known: &Answer) -> Option<Answer> {
        self.key_in(self.without(known, usize::MAX)?, known)
    }

    /// The signal without what a known key explains of it, of at most so many bits.
    fn without(&self, known: &Answer, most_bits: usize) -> Option<Unexplained> {
        let rate_hz = self.signal.grid.rate_hz;
        let period = f64::from(known.found.clocks) * rate_hz / known.found.clock_hz;
        let rest = Rest::of(self.sums, known.start, period, &known.symbols, most_bits)?;
        let (start, step) = (rest.start, period / PHASES as f64);
        let signal = Signal {
            grid: self.signal.grid.resampled(start, step),
            noise_per_hz: self.signal.noise_per_hz * rest.noise_share,
            values: rest.values,
            lines: Vec::new(),
            harmonics: Vec::new(),
        };
        let (found, power) = self.explaining(&signal, known.found.clock_hz);
        Some(Unexplained {
            signal,
            start,
            step,
            found,
            power,
            known_power: rest.explained,
        })
    }

    /// How likely the signal is under a first key and another in what it leaves.
    ///
    /// A key of deviation d explains the power 2d² of its symbols, which is twice what it adds to each value.
    fn weight(&self, first: &Answer, unexplained: &Unexplained) -> f64 {
        let balance = Balance::of(self.signal, self.sampling, first.found.clock_hz);
        let left = balance.power - unexplained.known_power - 0.5 * unexplained.power;
        let seconds = balance.length() / self.signal.grid.rate_hz;
        let keys = std::iter::once(&first.found).chain(unexplained.found.first());
        let bits = keys.map(|found| seconds * found.clock_hz / f64::from(found.clocks));
        let cost = std::f64::consts::LN_2 * bits.sum::<f64>();
        balance.weight(left, cost)
    }

    /// The key that the rest without a known one shows: with a frame of its own, or else the one that explains most after
    /// the harmonics of the drive are taken out as well.
    fn key_in(&self, rest: Unexplained, known: &Answer) -> Option<Answer> {
        let Unexplained {
            signal: mut rest,
            start,
            step,
            found,
            ..
        } = rest;
        let clock_hz = known.found.clock_hz;
        let mut strongest = None;
        for found in found {
            let answer = self.read(&rest, found, (start, step));
            if differs(&answer.key, &known.key) {
                return Some(answer);
            }
            strongest = strongest.or(Some(answer));
        }
        if strongest.is_none() || self.harmonics_hz.is_empty() {
            return strongest;
        }
        let rate_hz = rest.grid.rate_hz;
        let places: Vec<f64> = self.harmonics_hz.iter().map(|hz| hz / rate_hz).collect();
        let noise_power = rest.noise_per_hz * rate_hz;
        let places = harmonics::present(&rest.values, &places, noise_power);
        harmonics::remove(&mut rest.values, &places, rate_hz);
        let found = self.explaining(&rest, clock_hz).0.into_iter().next()?;
        Some(self.read(&rest, found, (start, step)))
    }

    /// The bit lengths that explain some of a signal, the best first, and the power that the best explains.
    fn explaining(&self, rest: &Signal, clock_hz: f64) -> (Vec<Found>, f64) {
        let search = Search::on_clock(rest, clock_hz);
        let mut ranked = search.ranked(self.clocks_per_bit);
        ranked.retain(|found| found.score.is_modulated());
        let power = ranked.first().map_or(0.0, |best| search.explained(best));
        (ranked, power)
    }

    fn read(&self, rest: &Signal, found: Found, (start, step): (f64, f64)) -> Answer {
        let values = axis::project(&rest.values, axis::principal(found.score.second_moment));
        let period = f64::from(found.clocks) * rest.grid.rate_hz / found.clock_hz;
        let noise_variance = rest.noise_per_hz * rest.grid.rate_hz / (2.0 * period);
        let taken = Taken::plain(&values, period, noise_variance);
        let symbols = Symbols {
            values: taken.symbols,
            noise_variance,
            weighed: None,
            times: BitTimes {
                first: self.stretch_start + rest.grid.position(taken.start),
                period: period * rest.grid.step,
            },
            clocks_per_bit: found.clocks,
        };
        Answer {
            key: symbols.read(),
            found,
            symbols: symbols.values,
            start: start + taken.start * step,
        }
    }
}

/// Takes the newer answer where the older has no frame.
fn mend(answer: &mut Answer, newer: Option<Answer>) {
    if let Some(newer) = newer
        && answer.key.frames.is_empty()
    {
        *answer = newer;
    }
}

/// Whether a key sends a frame that another does not. What one key leaves of another can look like a frame once.
fn differs(key: &KeyRead, other: &KeyRead) -> bool {
    if key.repeats < LEAST_REPEATS {
        return false;
    }
    let mut bits = key.frames.iter().map(|read| &read.frame.bits);
    let sent = |bits: &Vec<u8>| other.frames.iter().any(|read| read.frame.bits == *bits);
    bits.next().is_some_and(|bits| !sent(bits))
}

fn collision(first: &Answer, second: &Answer) -> Collision {
    let (one, other) = (first.key.depth.value, second.key.depth.value);
    let mut levels = vec![-one - other, -one + other, one - other, one + other];
    levels.sort_by(f64::total_cmp);
    Collision {
        levels,
        statistic: second.found.score.statistic(),
        threshold: second.found.score.threshold(),
    }
}
