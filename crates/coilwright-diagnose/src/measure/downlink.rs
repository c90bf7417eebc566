//! Collects the short gaps of the field over a capture and reads them as messages.

use coilwright_signal::capture::{CaptureInfo, SampleKind};
use coilwright_signal::carrier::{Carrier, SignalKind};
use coilwright_signal::downlink::{Gap, gaps, messages};

use super::segments::Segment;
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
    /// Looks for gaps in a segment. Only samples that show the carrier itself can show them.
    pub(super) fn take(
        &mut self,
        info: &CaptureInfo,
        segment: &Segment,
        carrier: &Carrier,
        top: f32,
    ) {
        if carrier.kind != SignalKind::Direct || info.kind != SampleKind::Real {
            return;
        }
        self.cycle = info.sample_rate_hz / carrier.apparent_hz;
        let last = self.gaps.last().map_or(f64::NEG_INFINITY, |gap| gap.start);
        let found = gaps(
            &segment.values,
            segment.first_sample,
            self.cycle.recip(),
            top,
        );
        let room = GAPS_AT_MOST - self.gaps.len();
        let fresh = found
            .into_iter()
            .filter(|gap| gap.start > last + SAME_CLOCKS * self.cycle);
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
