/// The latest raw samples, so that an edge can be looked at again once it was noticed.
pub(super) struct History {
    width: usize,
    keep_values: usize,
    /// Position of `values[0]`, in samples from the start of the capture.
    first: u64,
    values: Vec<f32>,
}

/// The history followed by the block that is being read.
#[derive(Clone, Copy)]
pub(super) struct RawView<'a> {
    width: usize,
    first: u64,
    older: &'a [f32],
    newer: &'a [f32],
}

impl History {
    pub(super) fn new(width: usize, keep_samples: usize) -> Self {
        Self {
            width,
            keep_values: keep_samples * width,
            first: 0,
            values: Vec::new(),
        }
    }

    pub(super) fn view<'a>(&'a self, block: &'a [f32]) -> RawView<'a> {
        RawView {
            width: self.width,
            first: self.first,
            older: &self.values,
            newer: block,
        }
    }

    /// Adds a block and forgets what is older than the samples to keep.
    pub(super) fn append(&mut self, block: &[f32]) {
        let kept_block = block.len().min(self.keep_values);
        if kept_block < block.len() {
            self.forget(self.values.len());
            let skipped = block.len() - kept_block;
            self.first += (skipped / self.width) as u64;
            self.values.extend_from_slice(&block[skipped..]);
            return;
        }
        // Forget in large steps, so that many small blocks do not move the history each time.
        if self.values.len() + block.len() > 4 * self.keep_values {
            self.forget(self.values.len().saturating_sub(self.keep_values));
        }
        self.values.extend_from_slice(block);
    }

    fn forget(&mut self, values: usize) {
        self.values.drain(..values);
        self.first += (values / self.width) as u64;
    }
}

impl RawView<'_> {
    /// One past the last sample.
    pub(super) fn end(&self) -> u64 {
        self.first + ((self.older.len() + self.newer.len()) / self.width) as u64
    }

    /// The samples from `start` to `end`, as far as they are still held, and the position of the first.
    pub(super) fn copy(&self, start: u64, end: u64) -> (u64, Vec<f32>) {
        let start = start.max(self.first);
        let end = end.clamp(start, self.end().max(start));
        let from = (start - self.first) as usize * self.width;
        let to = (end - self.first) as usize * self.width;
        let split = self.older.len();
        let mut values = Vec::with_capacity(to - from);
        values.extend_from_slice(&self.older[from.min(split)..to.min(split)]);
        values.extend_from_slice(&self.newer[from.max(split) - split..to.max(split) - split]);
        (start, values)
    }
}
