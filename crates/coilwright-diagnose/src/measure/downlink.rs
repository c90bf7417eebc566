//! Collects the short gaps of the field over a capture and reads them as messages.

use coilwright_signal::downlink::{Gap, messages};

use crate::result::Downlink;

/// Messages that the result lists at most.
const LISTED: usize = 64;
/// Gaps that are kept; a capture with more has dips of another kind.
const GAPS_AT_MOST: usize = 65_536;
/// Segments overlap; the same gap is found twice within so many carrier cycles.
const SAME_CLOCKS: f64 = 2.0;

/// The gaps so far.
#[derive(Default)]
pub(super) struct DownlinkListener {
    gaps: Vec<Gap>,
    /// Samples in a carrier cycle.
    cycle: f64,
}

impl DownlinkListener {
    /// Takes the gaps of a segment, where a carrier cycle has `cycle` samples.
    pub(super) fn take(&mut self, found: &[Gap], cycle: f64) {
        self.cycle = cycle;
        let last = self.gaps.last().map_or(f64::NEG_INFINITY, |gap| gap.start);
        let room = GAPS_AT_MOST - self.gaps.len();
        let fresh = found
            .iter()
            .filter(|gap| gap.start > last + SAME_CLOCKS * cycle);
        self.gaps.extend(fresh.take(room));
    }

    /// The messages of the capture.
    pub(super) fn finish(self) -> Downlink {
        let mut found = messages(&self.gaps, self.cycle);
        let message_count = found.len() as u64;
        found.truncate(LISTED);
        Downlink {
            messages: found,
            message_count,
            gap_count: self.gaps.len() as u64,
        }
    }
}
