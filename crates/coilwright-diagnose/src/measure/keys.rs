//! Adds up the reads of all stretches to the keys that answered.

use coilwright_signal::demodulate::{FrameRead, KeyRead, LineCode};
use coilwright_signal::{Estimate, Span};

use crate::result::{FrameFound, KeyFound, NamedCheck};

/// Different frames that are told apart at most; a gate may see many tags, a lock one or two.
const KEYS_AT_MOST: usize = 256;
/// Spans that are listed for a key at most.
const SPANS_LISTED: usize = 64;

/// The keys heard so far. Its size does not grow with the length of the capture.
#[derive(Debug, Default)]
pub(super) struct Keys {
    read: Vec<Group>,
    unread: Option<KeyFound>,
}

#[derive(Debug)]
struct Group {
    key: KeyFound,
    depth_sum: f64,
    reads: u32,
    last_end: u64,
}

impl Keys {
    /// Adds what one stretch said.
    pub(super) fn add(&mut self, read: &KeyRead) {
        if read.frames.is_empty() {
            let found = without_frame(read);
            if self
                .unread
                .as_ref()
                .is_none_or(|best| found.eb_n0_db > best.eb_n0_db)
            {
                self.unread = Some(found);
            }
            return;
        }
        let mut counted: Vec<usize> = Vec::new();
        for frame in &read.frames {
            if let Some(index) = self.count(read, frame)
                && !counted.contains(&index)
            {
                counted.push(index);
                let group = &mut self.read[index];
                group.depth_sum += read.depth.value;
                group.reads += 1;
                group.key.eb_n0_db = group.key.eb_n0_db.max(read.eb_n0_db);
                group.key.margin = group.key.margin.max(read.margin);
            }
        }
    }

    fn count(&mut self, read: &KeyRead, frame: &FrameRead) -> Option<usize> {
        let bits = frame.frame.bit_text();
        let known = self.read.iter().position(|group| {
            group
                .key
                .frame
                .as_ref()
                .is_some_and(|found| found.bits == bits)
                && group.key.clocks_per_bit == read.clocks_per_bit
        });
        let index = known.or_else(|| {
            (self.read.len() < KEYS_AT_MOST).then(|| {
                self.read.push(group(read, frame, bits));
                self.read.len() - 1
            })
        })?;
        let group = &mut self.read[index];
        // Segments overlap: a frame that begins before the last one ended was counted already.
        if frame.span.start + frame.span.len() / 2 >= group.last_end {
            group.last_end = frame.span.end;
            group.key.repeats += 1;
            if group.key.spans.len() < SPANS_LISTED {
                group.key.spans.push(frame.span);
            }
            if let Some(found) = &mut group.key.frame {
                found.corrected_bits = found.corrected_bits.min(frame.corrected_bits as u32);
            }
        }
        Some(index)
    }

    /// The keys, the most often read first; one without a frame only if none has one.
    pub(super) fn finish(self) -> Vec<KeyFound> {
        if self.read.is_empty() {
            return self.unread.into_iter().collect();
        }
        let mut keys: Vec<KeyFound> = self
            .read
            .into_iter()
            .map(|group| {
                let depth = group.depth_sum / f64::from(group.reads.max(1));
                let std_dev = group.key.depth.std_dev / f64::from(group.reads.max(1)).sqrt();
                KeyFound {
                    depth: Estimate::new(depth, std_dev),
                    ..group.key
                }
            })
            .collect();
        keys.sort_by_key(|key| std::cmp::Reverse(key.repeats));
        keys
    }
}

fn group(read: &KeyRead, frame: &FrameRead, bits: String) -> Group {
    Group {
        key: KeyFound {
            frame: Some(FrameFound {
                kind: frame.frame.kind.identifier().to_owned(),
                bits,
                payload: frame.frame.payload.clone(),
                checks: frame
                    .frame
                    .checks
                    .iter()
                    .map(|check| NamedCheck {
                        name: check.name.clone(),
                        holds: check.passed,
                    })
                    .collect(),
                corrected_bits: frame.corrected_bits as u32,
            }),
            repeats: 0,
            ..without_frame(read)
        },
        depth_sum: 0.0,
        reads: 0,
        last_end: 0,
    }
}

fn without_frame(read: &KeyRead) -> KeyFound {
    KeyFound {
        modulation: read.modulation.identifier().to_owned(),
        subcarrier_clocks: read.modulation.subcarrier_clocks(),
        line_code: read
            .line_code
            .map_or("manchester_or_biphase", LineCode::identifier)
            .to_owned(),
        clocks_per_bit: read.clocks_per_bit,
        depth: read.depth,
        eb_n0_db: read.eb_n0_db,
        margin: read.margin,
        frame: None,
        repeats: 0,
        spans: Vec::<Span>::new(),
    }
}
