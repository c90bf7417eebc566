use super::SoftValues;
use super::decode::{Found, MIN_EVIDENCE, alignments, checks_prove, decode};
use super::fold::{Folded, fold};
use super::hits::{Hits, hits};
use super::problem::{Alignment, Ends, Window};
use crate::frame::layout::Sending;
use crate::frame::{Frame, FrameKind};

/// Bits that are sent again agree in this share at least, however weak they are; random ones do in one of 10^6 places.
const REPEATED: f64 = 0.8;
/// From so many repeats on they must agree with each other.
const REPEATS_THAT_AGREE: f64 = 1.5;

/// A frame and its place among the bits.
#[derive(Clone, Debug, PartialEq)]
pub struct FrameHit {
    /// The frame; every check holds.
    pub frame: Frame,
    /// The bit that it begins with; with differential coding bit k lies between values k and k + 1.
    pub first_bit: usize,
    /// How many bits it was read from: its length, or all bits when repeats were added up.
    pub from_bits: usize,
    /// How many bits were corrected; 0 for a frame that was read as it is.
    pub corrected_bits: usize,
}

/// What frames soft values hold.
#[derive(Clone, Debug, PartialEq)]
pub struct FramesRead {
    /// Which of the given values they were read from.
    pub source: usize,
    /// Whether the bits are inverted against the values.
    pub inverted: bool,
    /// The reads of the payload that was read most often, in order; one when repeats were added up.
    pub hits: Vec<FrameHit>,
    /// How often the payload was read, or how many repeats were added up.
    pub repeats: usize,
}

/// Returns the frames of one of `kinds` in one of several readings of the same signal, or `None` when there is none
/// that is sure enough. Several readings are, for example, Manchester and biphase of the same half-bits.
///
/// Frames that pass every check as they are come first: two that agree, or one that the rest of the values or its own
/// soft values confirm. Then the repeats are added up and decoded softly; the read with the best evidence wins.
///
/// ```
/// use coilwright_signal::frame::soft::{Coding, SoftValues, read};
/// use coilwright_signal::frame::{FrameKind, ReadOnly64, read_only_64};
/// let bits = read_only_64::encode(&ReadOnly64 { customer: 0x12, number: 0x3456_789A });
/// let mut ratios = bits.map(|bit| if bit == 1 { 9.0 } else { -9.0 });
/// ratios.rotate_left(20);
/// ratios[30] *= -0.1; // a weak bit, and wrong
/// let values = SoftValues { ratios: &ratios, coding: Coding::Direct };
/// let found = read(&[values], &[FrameKind::ReadOnly64]);
/// assert!(found.is_some_and(|read| read.hits[0].frame.payload == "123456789A" && read.hits[0].corrected_bits == 1));
/// ```
#[must_use]
pub fn read(sources: &[SoftValues<'_>], kinds: &[FrameKind]) -> Option<FramesRead> {
    as_they_are(sources, kinds).or_else(|| added_up(sources, kinds))
}

/// The payload that passes every check most often without correction.
fn as_they_are(sources: &[SoftValues<'_>], kinds: &[FrameKind]) -> Option<FramesRead> {
    let mut best: Option<FramesRead> = None;
    for (source, values) in sources.iter().enumerate() {
        for &kind in kinds {
            for found in hits(values, kind.layout()) {
                let fewer = best
                    .as_ref()
                    .is_some_and(|best| best.repeats >= found.starts.len());
                if fewer || !is_confirmed(values, kind, &found) {
                    continue;
                }
                best = frames(source, kind, &found).or(best);
            }
        }
    }
    best
}

fn frames(source: usize, kind: FrameKind, found: &Hits) -> Option<FramesRead> {
    let frame = kind.check(&found.bits).filter(Frame::is_valid)?;
    let hit = |&first_bit: &usize| FrameHit {
        frame: frame.clone(),
        first_bit,
        from_bits: kind.length_bits(),
        corrected_bits: 0,
    };
    Some(FramesRead {
        source,
        inverted: found.inverted,
        repeats: found.starts.len(),
        hits: found.starts.iter().map(hit).collect(),
    })
}

/// Whether frames that pass their checks are no chance: two agree, and the checks are enough to prove something, or the
/// whole of the values says the same as the only one, or that one is sure by its own soft values. A frame that is sent
/// without pause must look repeated where there is room for it.
fn is_confirmed(values: &SoftValues<'_>, kind: FrameKind, found: &Hits) -> bool {
    let is_repeated = || {
        let bits = values.bits();
        let mut starts = found.starts.iter();
        kind.layout().sending != Sending::Endless
            || starts.any(|&start| looks_repeated(&bits, found, start))
    };
    let &[start] = found.starts.as_slice() else {
        return checks_prove(kind.layout(), 2 * values.ratios.len()) && is_repeated();
    };
    let of_all = of_repeats(values, kind);
    if of_all.is_some_and(|read| read.found.is_sure() && read.found.bits == found.bits) {
        return true;
    }
    if !is_repeated() {
        return false;
    }
    let window = Window {
        ratios: values.ratios,
        coding: values.coding,
        ends: Ends::Open,
    };
    let alignment = Alignment {
        start,
        inverted: found.inverted,
    };
    let choices = alignments(&window, kind.length_bits()).len().max(1) as f64;
    decode(kind.layout(), &window, &[alignment]).is_some_and(|mut own| {
        own.evidence -= choices.ln();
        own.is_sure() && own.bits == found.bits
    })
}

/// Whether the bits before or after a frame are much the same again, its ones as well as its zeros; so it counts where
/// there is no room for another, unless it is one step.
fn looks_repeated(bits: &[u8], found: &Hits, start: usize) -> bool {
    let length = found.bits.len();
    let agreeing = |first: usize| {
        let beside = bits.get(first..first + length)?;
        let share = |value: u8| {
            let (mut same, mut all) = (0.0_f64, 0.0_f64);
            for (&bit, &other) in found
                .bits
                .iter()
                .zip(beside)
                .filter(|(bit, _)| **bit == value)
            {
                same += f64::from(u8::from((bit != other) == found.inverted));
                all += 1.0;
            }
            same / all.max(1.0)
        };
        Some(share(0).min(share(1)))
    };
    let before = start.checked_sub(length).and_then(agreeing);
    let most = before.into_iter().chain(agreeing(start + length));
    let most = most.reduce(f64::max);
    most.map_or(!is_one_step(&found.bits), |share| share >= REPEATED)
}

/// Whether a frame is a run of ones and zeros from there on. Nine ones and 55 zeros pass every check, and so does any level
/// that goes up once and lasts.
fn is_one_step(bits: &[u8]) -> bool {
    bits.windows(2).filter(|pair| pair[0] != pair[1]).count() < 2
}

/// The frame in the sum of the repeats.
fn added_up(sources: &[SoftValues<'_>], kinds: &[FrameKind]) -> Option<FramesRead> {
    let mut best: Option<(f64, FramesRead)> = None;
    let choices = (sources.len() * kinds.len()).max(1) as f64;
    for (source, values) in sources.iter().enumerate() {
        for &kind in kinds {
            let Some(OfRepeats { mut found, repeats }) = of_repeats(values, kind) else {
                continue;
            };
            found.evidence -= choices.ln();
            let better = best
                .as_ref()
                .is_none_or(|(evidence, _)| found.evidence > *evidence);
            if better && found.is_sure() {
                let evidence = found.evidence;
                best = whole(source, values, kind, &found, repeats)
                    .map(|read| (evidence, read))
                    .or(best);
            }
        }
    }
    best.map(|(_, read)| read)
}

fn whole(
    source: usize,
    values: &SoftValues<'_>,
    kind: FrameKind,
    found: &Found,
    repeats: usize,
) -> Option<FramesRead> {
    let frame = kind.check(&found.bits).filter(Frame::is_valid)?;
    let all = values.bits().len();
    let once = kind.layout().sending == Sending::Once;
    let hit = FrameHit {
        frame,
        first_bit: if once { found.alignment.start } else { 0 },
        from_bits: if once { kind.length_bits() } else { all },
        corrected_bits: found.corrected_bits,
    };
    Some(FramesRead {
        source,
        inverted: found.alignment.inverted,
        hits: vec![hit],
        repeats,
    })
}

/// The most likely frame when everything is added up.
struct OfRepeats {
    found: Found,
    repeats: usize,
}

fn of_repeats(values: &SoftValues<'_>, kind: FrameKind) -> Option<OfRepeats> {
    let layout = kind.layout();
    if layout.sending == Sending::Once {
        let window = Window {
            ratios: values.ratios,
            coding: values.coding,
            ends: Ends::Open,
        };
        let found = decode(layout, &window, &alignments(&window, layout.length_bits))?;
        return Some(OfRepeats { found, repeats: 1 });
    }
    let folded = fold(values.ratios, layout.length_bits, values.coding);
    let ways = folded.len().max(1) as f64;
    let mut reads: Vec<OfRepeats> = folded
        .iter()
        .filter_map(|folded| of_folded(folded, values, kind))
        .collect();
    reads.sort_by(|a, b| b.found.evidence.total_cmp(&a.found.evidence));
    let mut rest = reads.into_iter();
    let mut best = rest.next()?;
    best.found.evidence -= ways.ln();
    // The other way to close the cycle is a rival like any other word.
    if let Some(other) = rest
        .next()
        .filter(|other| other.found.bits != best.found.bits)
    {
        best.found.margin = best
            .found
            .margin
            .min(best.found.evidence - other.found.evidence);
    }
    Some(best)
}

fn of_folded(folded: &Folded, values: &SoftValues<'_>, kind: FrameKind) -> Option<OfRepeats> {
    let must_agree = folded.repeats >= REPEATS_THAT_AGREE;
    if must_agree && folded.coherence < MIN_EVIDENCE {
        return None;
    }
    let window = Window {
        ratios: &folded.ratios,
        coding: values.coding,
        ends: Ends::Closed(folded.closing),
    };
    let mut found = decode(
        kind.layout(),
        &window,
        &alignments(&window, kind.length_bits()),
    )?;
    if must_agree {
        found.evidence = found.evidence.min(folded.coherence);
    } else if is_one_step(&found.bits) {
        return None;
    }
    Some(OfRepeats {
        found,
        repeats: folded.repeats as usize,
    })
}
