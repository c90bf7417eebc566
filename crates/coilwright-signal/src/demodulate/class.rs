//! Which class of modulation it is: the load switched by the bits, or a subcarrier shifted in frequency or phase.

use super::model::{Detection, ListenOptions, Look};
use super::modulation::Modulation;
use super::read::{Read, Reader};
use super::search::{Found, Search};
use super::subcarrier::{Candidate, SubcarrierRead, Subcarriers};

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
    Subcarrier(SubcarrierRead),
}

/// The decision, and the key if there is one.
pub(super) struct Heard {
    pub detection: Detection,
    pub read: Option<ClassRead>,
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
            return Heard {
                detection: read.found.detection(),
                read: load.map(|read| ClassRead::Load(Box::new(read))),
            };
        }
        self.subcarrier(load.as_ref().map(|read| &read.found))
            .unwrap_or_else(|| Heard {
                detection: load
                    .as_ref()
                    .map(|read| read.found.detection())
                    .or(best.as_ref().map(Found::detection))
                    .unwrap_or(NOTHING),
                read: load.map(|read| ClassRead::Load(Box::new(read))),
            })
    }

    /// What an earlier stretch showed, if it gives a frame again.
    fn expected(&self) -> Option<Heard> {
        match self.options.expected? {
            (Modulation::Ask, clocks) => {
                let read = self.reader.read(self.search.modulated(clocks)?)?;
                read.has_frame().then(|| Heard {
                    detection: read.found.detection(),
                    read: Some(ClassRead::Load(Box::new(read))),
                })
            }
            (modulation, clocks) => {
                let read = self.subcarriers.read(modulation, clocks)?;
                (!read.key.frames.is_empty()).then_some(Heard {
                    detection: Detection {
                        modulated: true,
                        clocks_per_bit: Some(clocks),
                        ..NOTHING
                    },
                    read: Some(ClassRead::Subcarrier(read)),
                })
            }
        }
    }

    /// The best subcarrier, where it explains more than the load modulation that was found.
    fn subcarrier(&self, load: Option<&Found>) -> Option<Heard> {
        if self.options.subcarriers == Look::Never {
            return None;
        }
        let candidates = self.subcarriers.search();
        let best = candidates
            .iter()
            .find(|candidate| candidate.is_modulated())?;
        let load_power = load.map_or(0.0, |found| self.search.explained(found));
        if best.power < load_power {
            return None;
        }
        Some(self.read(best))
    }

    fn read(&self, candidate: &Candidate) -> Heard {
        let read = self
            .subcarriers
            .read(candidate.modulation, candidate.clocks_per_bit);
        Heard {
            detection: candidate.detection(),
            read: read.map(ClassRead::Subcarrier),
        }
    }
}

/// No decision.
const NOTHING: Detection = Detection {
    modulated: false,
    statistic: 0.0,
    threshold: f64::INFINITY,
    clocks_per_bit: None,
};
