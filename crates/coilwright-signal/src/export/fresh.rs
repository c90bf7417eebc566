use std::ops::Range;

use crate::demodulate::{FrameRead, KeyRead};

/// Parts what is new in a read from what an overlapping stretch before it had already.
#[derive(Debug, Default)]
pub(super) struct Fresh {
    keys: Vec<Ends>,
}

/// Where what was passed on ends, in samples.
#[derive(Clone, Copy, Debug, Default)]
struct Ends {
    bits: f64,
    frames: u64,
}

impl Fresh {
    /// The bits of the read that begin where those before ended, or later. Bit clocks of two stretches differ a little:
    /// up to half a bit of overlap is none.
    pub(super) fn bits(&mut self, key: usize, read: &KeyRead) -> Range<usize> {
        let ends = self.ends(key);
        let times = read.bit_times;
        let count = read.bits.len();
        let known = ((ends.bits - times.first) / times.period).round();
        let first = if known > 0.0 {
            (known as usize).min(count)
        } else {
            0
        };
        ends.bits = ends.bits.max(times.first + count as f64 * times.period);
        first..count
    }

    /// The frames of the read that were not passed on before.
    pub(super) fn frames<'a>(&mut self, key: usize, read: &'a KeyRead) -> Vec<&'a FrameRead> {
        let ends = self.ends(key);
        read.frames
            .iter()
            .filter(|frame| {
                let is_new = frame.span.start + frame.span.len() / 2 >= ends.frames;
                if is_new {
                    ends.frames = frame.span.end;
                }
                is_new
            })
            .collect()
    }

    fn ends(&mut self, key: usize) -> &mut Ends {
        if self.keys.len() <= key {
            self.keys.resize(key + 1, Ends::default());
        }
        &mut self.keys[key]
    }
}
