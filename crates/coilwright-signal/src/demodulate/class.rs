//! Which class of modulation it is: the load switched by the bits, or a subcarrier shifted in frequency or phase.

use super::model::{Detection, Expected, ListenOptions, Look};
use super::modulation::Modulation;
use super::read::{Read, Reader};
use super::search::{Found, Search};
use super::subcarrier::{Candidate, Residual, SubcarrierRead, Subcarriers};

/// The search over all bit lengths has so many times the values of the first look: with few values a bit, the noise of
/// bits that keep step with the values depends on the bit phase.
const FINER: usize = 4;
/// One of so many bit lengths must reach this many times the threshold of a single one.
const MANY_LENGTHS: f64 = 1.25;

/// Sixteen times the power, 98 dB below the carrier, that was seen at a subcarrier's place on one bare carrier without
/// noise.
const LEAST_POWER: f64 = 16.0 * 1.4e-10;

/// Everything that can tell a class.
pub(super) struct Classes<'a> {
    pub search: &'a Search<'a>,
    pub reader: &'a Reader<'a>,
    pub subcarriers: &'a Subcarriers<'a>,
    pub options: &'a ListenOptions,
}

/// A key as read in its class.
pub(super) enum ClassRead {
    Load(Box<Read>),
    Subcarrier(Box<SubcarrierRead>),
}

/// The decision, and the key if there is one.
pub(super) struct Heard {
    pub detection: Detection,
    pub read: Option<ClassRead>,
    /// Load modulation of an unusual bit length without a frame, where that explains the signal best: no key is told from it.
    pub unusual: Option<Box<Read>>,
    /// The power that a subcarrier explains, relative to the carrier's.
    power: f64,
}

impl Heard {
    /// A key whose load the bits switch; without one, the detection of the bit length that came nearest.
    fn of_load(read: Option<Read>, best: Option<Found>) -> Self {
        let found = read.as_ref().map(|read| read.found).or(best);
        Self {
            detection: found.as_ref().map_or(Detection::NONE, Found::detection),
            read: read.map(|read| ClassRead::Load(Box::new(read))),
            unusual: None,
            power: 0.0,
        }
    }

    /// Whether a subcarrier was read that needs no frame to be believed.
    fn is_plain(&self) -> bool {
        matches!(&self.read, Some(ClassRead::Subcarrier(read)) if read.is_plain())
    }

    /// Whether another subcarrier of the same modulation was read whose bits are less likely at its bit length.
    fn has_likelier_rate_than(&self, other: &Self) -> bool {
        match (&self.read, &other.read) {
            (Some(ClassRead::Subcarrier(read)), Some(ClassRead::Subcarrier(other))) => {
                read.is_likelier_than(other)
            }
            _ => false,
        }
    }

    fn has_frame(&self) -> bool {
        match &self.read {
            Some(ClassRead::Load(read)) => read.has_frame(),
            Some(ClassRead::Subcarrier(read)) => read.has_frame(),
            None => false,
        }
    }
}

/// The read that there is, if it shows a frame, or else another one that does, or that explains more.
fn better(read: Option<Read>, other: impl FnOnce() -> Option<Read>) -> Option<Read> {
    match read {
        Some(read) if read.has_frame() => Some(read),
        None => other(),
        Some(read) => Some(
            other()
                .filter(|other| other.has_frame() || other.explains_more(&read))
                .unwrap_or(read),
        ),
    }
}

impl Classes<'_> {
    /// A frame decides; without one, the class whose matched filters explain the most power does.
    pub(super) fn hear(&self) -> Heard {
        if let Some(read) = self.expected() {
            return read;
        }
        let found = self.search.ranked(&self.options.clocks_per_bit);
        let best = found.first().copied();
        let load = self.reader.read_first_with_frame(found);
        if let Some(read) = load.as_ref().filter(|read| read.has_frame()) {
            let thumps_of = self.subcarrier_behind(read);
            return thumps_of.unwrap_or_else(|| Heard::of_load(load, best));
        }
        let subcarrier = self.subcarrier(load.as_ref().map(|read| &read.found));
        let unproven = match subcarrier {
            Some(heard) if heard.has_frame() => return heard,
            unproven => unproven,
        };
        let load = self.at_any_length(load);
        match unproven {
            Some(heard) if !load.as_ref().is_some_and(Read::has_frame) => heard,
            _ => self.of_usual_length(load, best),
        }
    }

    /// The key, unless its bit length is unusual and it shows no frame: of some hundred lengths one fitted what an open ring
    /// radiates.
    fn of_usual_length(&self, read: Option<Read>, best: Option<Found>) -> Heard {
        let usual = &self.options.clocks_per_bit;
        let is_told = |read: &Read| read.has_frame() || usual.contains(&read.clocks_per_bit());
        match read {
            Some(read) if !is_told(&read) => Heard {
                unusual: Some(Box::new(read)),
                ..Heard::of_load(None, best)
            },
            read => Heard::of_load(read, best),
        }
    }

    /// The subcarrier whose thumps were read as load modulation: one with a frame that explains more.
    ///
    /// Where the parts of a bit hold no whole number of a subcarrier's periods, its mean follows the bits as well.
    fn subcarrier_behind(&self, load: &Read) -> Option<Heard> {
        let is_possible = self.options.subcarriers != Look::Never
            && self.subcarriers.power_at_most()? >= self.search.explained(&load.found);
        let heard = is_possible.then(|| self.subcarrier(Some(&load.found)))??;
        let explains = heard.power >= self.search.explained(&load.found);
        (heard.has_frame() && explains).then_some(heard)
    }

    /// Load modulation without a frame at the usual bit lengths: at any other, then added up over the repeats.
    fn at_any_length(&self, read: Option<Read>) -> Option<Read> {
        let other = &self.options.other_clocks_per_bit;
        let signal = self.reader.finer_signal(FINER);
        let search = Search::of(&signal, self.reader.stretch.carrier, self.reader.true_hz);
        let mut ranked = search.ranked(other);
        ranked.retain(|found| found.score.statistic() >= MANY_LENGTHS * found.score.threshold());
        let longest = ranked.first().map(|found| found.clocks);
        let read = better(read, || self.reader.read_first_with_frame(ranked));
        // Miller bits may look like bits of twice their length.
        let read = better(read, || self.half_of(&search, longest?));
        // The half of a read with a code explains no more for being read again.
        let is_settled = |read: &Read| read.has_code() && longest == Some(read.found.clocks);
        let read = match read {
            Some(read) if !is_settled(&read) => Some(self.or_half(&search, read)),
            read => read,
        };
        better(read, || self.reader.read_folded())
    }

    /// The read at half a bit length.
    fn half_of(&self, search: &Search<'_>, clocks: u32) -> Option<Read> {
        let half = clocks.is_multiple_of(2).then_some(clocks / 2)?;
        let others = &self.options.other_clocks_per_bit;
        let found = others.contains(&half).then(|| search.modulated(half))??;
        self.reader.read(found)
    }

    /// What no code explains to the end, as bits of half the length if a line code explains those better: of half-bits at random
    /// NRZ says the very same, so that no evidence can part the two.
    fn or_half(&self, search: &Search<'_>, read: Read) -> Read {
        if read.collision.is_some() || read.has_frame() || read.keeps_to_its_code() {
            return read;
        }
        let is_better = |half: &Read| {
            let says_more = if read.has_code() {
                half.explains_more(&read)
            } else {
                half.has_code()
            };
            half.has_frame() || says_more
        };
        let half = self.half_of(search, read.found.clocks).filter(is_better);
        half.unwrap_or(read)
    }

    /// What an earlier stretch showed, if it gives a frame again.
    fn expected(&self) -> Option<Heard> {
        let Expected {
            modulation,
            clocks_per_bit: clocks,
            alone,
            ..
        } = *self.options.expected.as_ref()?;
        if modulation == Modulation::Ask {
            let reader = Reader {
                alone,
                ..*self.reader
            };
            let read = reader.read(self.search.modulated(clocks)?)?;
            return read.has_frame().then(|| Heard::of_load(Some(read), None));
        }
        let residual = self.subcarriers.residual()?;
        let read = self.subcarriers.read(&residual, modulation, clocks)?;
        read.has_frame().then_some(Heard {
            detection: Detection {
                modulated: true,
                clocks_per_bit: Some(clocks),
                ..Detection::NONE
            },
            read: Some(ClassRead::Subcarrier(Box::new(read))),
            unusual: None,
            power: 0.0,
        })
    }

    /// The first subcarrier with a frame, or else the best modulation of those that explain more than the load modulation that
    /// was found, at its likeliest bit length.
    ///
    /// Behind a ring and a key coil a fast subcarrier may be weaker than the thumps in the carrier's level where its phase
    /// turns, since the load then stays on or off for longer: such a one needs a frame.
    fn subcarrier(&self, load: Option<&Found>) -> Option<Heard> {
        if self.options.subcarriers == Look::Never {
            return None;
        }
        let load_power = load.map_or(0.0, |found| self.search.explained(found));
        let mut candidates = self.subcarriers.search();
        candidates.retain(|candidate| candidate.is_modulated() && candidate.power >= LEAST_POWER);
        let whole = candidates
            .first()
            .and_then(|_| self.subcarriers.residual())?;
        let mut best: Option<Heard> = None;
        for candidate in &candidates {
            let heard = self.read(&whole, candidate);
            if heard.has_frame() {
                return Some(heard);
            }
            if candidate.power < load_power || !heard.is_plain() {
                continue;
            }
            best = match best {
                Some(best) if !heard.has_likelier_rate_than(&best) => Some(best),
                _ => Some(heard),
            };
        }
        best
    }

    fn read(&self, whole: &Residual, candidate: &Candidate) -> Heard {
        let (modulation, clocks) = (candidate.modulation, candidate.clocks_per_bit);
        let read = self.subcarriers.read(whole, modulation, clocks);
        Heard {
            detection: candidate.detection(),
            read: read.map(|read| ClassRead::Subcarrier(Box::new(read))),
            unusual: None,
            power: candidate.power,
        }
    }
}
