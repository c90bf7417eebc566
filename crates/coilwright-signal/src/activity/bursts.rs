use super::repetition::{dip_regularity, median, repetition, variation};
use super::segment::Segment;
use super::{Activity, Burst, Dip, Edge, EdgeKind, FieldState};
use crate::Span;

/// The stretches of steady level of a whole capture.
pub(super) struct Stretches<'a> {
    pub(super) segments: &'a [Segment],
    pub(super) samples: u64,
    pub(super) sample_rate_hz: f64,
}

/// Scatter of the level from window to window, over the level: noise alone has 0.52, a carrier 0 dB above the noise
/// 0.25.
const NOISE_SCATTER: f64 = 0.3;
/// The field is on above the geometric mean of highest and lowest level, but at least and at most at these parts of
/// the highest: half-duplex replies stay 40 dB below the charge burst, noise 10 dB below.
const ON_LEAST: f64 = 0.05;
const ON_MOST: f64 = 0.4;
/// A stretch must last so long to stand for the field being off.
const FLOOR_S: f64 = 5e-3;
/// A complete loss shorter than this may be a dip; common practice for contacts that bounce, no source.
const SHORT_GAP_S: f64 = 10e-3;
/// Beside regular longer gaps, a gap below this part of theirs is a dip.
const SHORT_GAP_PART: f64 = 0.35;
/// Gaps and periods that vary by less than this are asked for; common practice, no source.
const REGULAR_VARIATION: f64 = 0.15;
/// Fewest gaps whose regularity says something.
const REGULAR_FEWEST: usize = 3;
/// Where at least so many short losses show that a joint is loose, longer ones are put down to it as well.
const LOOSE_FEWEST: usize = 2;
const LOOSE_GAP_S: f64 = 20e-3;
/// A sudden loss that leaves less than this part of the level is a dip.
const DIP_RATIO: f64 = 0.7;
/// A joint does not open and close faster; common practice, no source. What is shorter is a fault of the recorder.
const SHORTEST_DIP_S: f64 = 32e-6;
/// A stretch must last so long to stand for the level of its burst.
const REPRESENTATIVE_S: f64 = 0.5e-3;

impl Stretches<'_> {
    fn span(&self, first: usize, last: usize) -> Span {
        let start = self.segments.get(first).map_or(0, |segment| segment.start);
        let end = self
            .segments
            .get(last + 1)
            .map_or(self.samples, |segment| segment.start);
        Span::new(start, end)
    }

    fn level(&self, index: usize) -> f64 {
        self.segments.get(index).map_or(0.0, Segment::level)
    }

    fn last(&self) -> usize {
        self.segments.len().saturating_sub(1)
    }

    /// The level above which the field is on; `None` if it never is.
    fn on_limit(&self) -> Option<f64> {
        let highest = self
            .segments
            .iter()
            .max_by(|a, b| a.level().total_cmp(&b.level()))?;
        let top = highest.level();
        if top <= 0.0 || highest.scatter() > NOISE_SCATTER {
            return None;
        }
        let fewest = (FLOOR_S * self.sample_rate_hz) as u64;
        let lowest = |fewest: u64| {
            let lasting =
                (0..self.segments.len()).filter(|&index| self.span(index, index).len() >= fewest);
            lasting.map(|index| self.level(index)).reduce(f64::min)
        };
        let lowest = lowest(fewest)
            .or_else(|| lowest(0))
            .unwrap_or(top)
            .clamp(0.0, top);
        Some((top * lowest).sqrt().clamp(ON_LEAST * top, ON_MOST * top))
    }
}

/// Sorts the stretches into bursts, edges and dips; also gives the segment that each edge begins.
pub(super) fn sort_out(stretches: &Stretches<'_>) -> (Activity, Vec<usize>) {
    let limit = stretches.on_limit().unwrap_or(f64::INFINITY);
    let noise_floor = noise_floor(stretches, limit);
    let groups = join_over_dips(stretches, &on_groups(stretches, limit));
    let mut bursts = Vec::new();
    let mut edges = Vec::new();
    let mut edge_segments = Vec::new();
    let mut dips = Vec::new();
    let mut glitches = 0;
    let shortest = (REPRESENTATIVE_S * stretches.sample_rate_hz) as u64;
    for &(first, last) in &groups {
        if stretches.span(first, last).len() < shortest {
            glitches += 1;
            continue;
        }
        let level = burst_level(stretches, first, last);
        let burst = Burst {
            span: stretches.span(first, last),
            level,
            begins_inside: first > 0,
            ends_inside: last < stretches.last(),
        };
        for (inside, kind, segment) in [
            (burst.begins_inside, EdgeKind::On, first),
            (burst.ends_inside, EdgeKind::Off, last + 1),
        ] {
            if inside {
                edges.push(edge(stretches, kind, segment));
                edge_segments.push(segment);
            }
        }
        let (long, short): (Vec<Dip>, Vec<Dip>) = dips_of(stretches, (first, last), bursts.len())
            .into_iter()
            .partition(|dip| dip.span.len() as f64 >= SHORTEST_DIP_S * stretches.sample_rate_hz);
        dips.extend(long);
        glitches += short.len() as u64;
        bursts.push(burst);
    }
    let activity = Activity {
        state: state(&bursts),
        repetition: repetition(&bursts, stretches.sample_rate_hz),
        bursts,
        edges,
        dip_regularity: dip_regularity(&dips),
        dips,
        noise_floor,
        glitches,
        unlisted_changes: 0,
    };
    (activity, edge_segments)
}

fn state(bursts: &[Burst]) -> FieldState {
    match bursts {
        [] => FieldState::NeverOn,
        [burst] if !burst.begins_inside && !burst.ends_inside => FieldState::AlwaysOn,
        _ => FieldState::Switched,
    }
}

/// Runs of segments above the limit: first and last segment.
fn on_groups(stretches: &Stretches<'_>, limit: f64) -> Vec<(usize, usize)> {
    let mut groups: Vec<(usize, usize)> = Vec::new();
    for (index, segment) in stretches.segments.iter().enumerate() {
        if segment.level() <= limit {
            continue;
        }
        match groups.last_mut() {
            Some((_, last)) if *last + 1 == index => *last = index,
            _ => groups.push((index, index)),
        }
    }
    groups
}

fn noise_floor(stretches: &Stretches<'_>, limit: f64) -> Option<f64> {
    let lowest = |fewest: u64| {
        let off = stretches
            .segments
            .iter()
            .filter(|segment| segment.level() <= limit);
        off.filter(|segment| segment.steady_windows() >= fewest)
            .map(Segment::level)
            .min_by(f64::total_cmp)
    };
    lowest(16).or_else(|| lowest(1))
}

/// Joins groups that are parted only by a dip.
fn join_over_dips(stretches: &Stretches<'_>, groups: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let gaps: Vec<f64> = groups
        .windows(2)
        .map(|pair| {
            stretches.span(pair[0].1 + 1, pair[1].0 - 1).len() as f64 / stretches.sample_rate_hz
        })
        .collect();
    let starts: Vec<f64> = groups
        .iter()
        .map(|&(first, last)| stretches.span(first, last).start as f64)
        .collect();
    let longest_dip_s = longest_dip_s(&gaps, &starts);
    let mut joined: Vec<(usize, usize)> = Vec::new();
    for (index, &(first, last)) in groups.iter().enumerate() {
        let gap_s = index.checked_sub(1).and_then(|before| gaps.get(before));
        match (joined.last_mut(), gap_s) {
            (Some((_, joined_last)), Some(&gap_s)) if gap_s < longest_dip_s => *joined_last = last,
            _ => joined.push((first, last)),
        }
    }
    joined
}

/// Gaps shorter than this are dips: well below the regular longer ones; none at all if the short ones come as
/// regularly as an interlock asks.
fn longest_dip_s(gaps: &[f64], starts: &[f64]) -> f64 {
    let is_regular =
        |values: &[f64]| variation(values).is_some_and(|variation| variation < REGULAR_VARIATION);
    let (long, short): (Vec<f64>, Vec<f64>) = gaps.iter().partition(|&&gap_s| gap_s >= SHORT_GAP_S);
    // A burst that runs into the capture has no known start.
    let first = starts.first().copied().filter(|&start| start > 0.0);
    let later = starts.iter().skip(1).copied();
    let after_long = later
        .clone()
        .zip(gaps)
        .filter(|(_, gap_s)| **gap_s >= SHORT_GAP_S);
    if is_regular(&long)
        && is_regular(&periods(
            first.into_iter().chain(after_long.map(|(start, _)| start)),
        ))
    {
        return median(&long).map_or(SHORT_GAP_S, |usual| SHORT_GAP_S.min(SHORT_GAP_PART * usual));
    }
    if long.is_empty()
        && gaps.len() >= REGULAR_FEWEST
        && is_regular(gaps)
        && is_regular(&periods(later))
    {
        return 0.0;
    }
    if short.len() >= LOOSE_FEWEST {
        LOOSE_GAP_S
    } else {
        SHORT_GAP_S
    }
}

/// Times from start to start.
fn periods(starts: impl Iterator<Item = f64>) -> Vec<f64> {
    let starts: Vec<f64> = starts.collect();
    starts.windows(2).map(|pair| pair[1] - pair[0]).collect()
}

fn burst_level(stretches: &Stretches<'_>, first: usize, last: usize) -> f64 {
    let fewest = (REPRESENTATIVE_S * stretches.sample_rate_hz) as u64;
    let highest = |fewest: u64| {
        (first..=last)
            .filter(|&index| stretches.span(index, index).len() >= fewest)
            .map(|index| stretches.level(index))
            .max_by(f64::total_cmp)
    };
    highest(fewest).or_else(|| highest(0)).unwrap_or(0.0)
}

fn edge(stretches: &Stretches<'_>, kind: EdgeKind, segment: usize) -> Edge {
    let span = stretches.span(segment, segment);
    let before = segment
        .checked_sub(1)
        .map_or(0.0, |before| stretches.level(before));
    let after = stretches.level(segment);
    Edge {
        kind,
        sample: span.start,
        level_before: before,
        level_after: after,
        refined: stretches
            .segments
            .get(segment)
            .is_some_and(|segment| segment.refined),
        samples_after: span.len(),
    }
}

/// Sudden losses inside a burst: from a fall that leaves too little of the level to the rise that brings it back.
/// A burst that begins low and then jumps up begins with a dip.
fn dips_of(
    stretches: &Stretches<'_>,
    (first, last): (usize, usize),
    burst_index: usize,
) -> Vec<Dip> {
    let mut dips = Vec::new();
    let mut open: Option<OpenDip> = None;
    let dip = |from: usize, to: usize, level_ratio: f64| Dip {
        span: stretches.span(from, to),
        level_ratio: level_ratio.max(0.0),
        burst_index,
    };
    let segments = stretches
        .segments
        .iter()
        .zip(stretches.segments.iter().skip(1))
        .enumerate();
    for (index, (before, after)) in segments.skip(first).take(last - first) {
        let (exit, entry) = (before.exit_level(), after.entry_level());
        open = match open {
            Some(low) if entry > DIP_RATIO * low.level_before => {
                dips.push(dip(low.first, index, low.lowest / low.level_before));
                None
            }
            Some(low) => Some(OpenDip {
                lowest: low.lowest.min(entry),
                ..low
            }),
            None if entry <= DIP_RATIO * exit => Some(OpenDip {
                first: index + 1,
                level_before: exit,
                lowest: entry,
            }),
            None => {
                if exit <= DIP_RATIO * entry {
                    dips.push(dip(index, index, exit / entry));
                }
                None
            }
        };
    }
    dips.extend(open.map(|low| dip(low.first, last, low.lowest / low.level_before)));
    dips
}

/// A loss that was not yet made good.
#[derive(Clone, Copy)]
struct OpenDip {
    first: usize,
    level_before: f64,
    lowest: f64,
}
