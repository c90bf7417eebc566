use super::{BlockSource, Capture, CaptureInfo, ReadError, ReadWarning};

/// A capture in memory, given block by block.
#[derive(Clone, Debug)]
pub struct MemorySource {
    capture: Capture,
    position: usize,
    warnings: Vec<ReadWarning>,
}

impl MemorySource {
    /// Starts at the first sample; values that are no number or infinite become zero, with a warning.
    pub fn new(mut capture: Capture) -> Self {
        let mut warnings = Vec::new();
        let width = capture.info.kind.width();
        super::interleaved::note_non_finite(
            &mut capture.samples,
            0,
            width,
            &mut None,
            &mut warnings,
        );
        Self {
            capture,
            position: 0,
            warnings,
        }
    }
}

impl Capture {
    /// The capture as a source of blocks, for everything that reads block by block.
    ///
    /// ```
    /// use coilwright_signal::capture::{BlockSource, Capture};
    /// let mut source = Capture::from_samples(vec![0.5; 5], 1e6).into_source();
    /// let mut block = [0.0; 4];
    /// assert_eq!(source.read_block(&mut block)?, 4);
    /// assert_eq!(source.read_block(&mut block)?, 1);
    /// assert_eq!(source.read_block(&mut block)?, 0);
    /// # Ok::<(), coilwright_signal::capture::ReadError>(())
    /// ```
    #[must_use]
    pub fn into_source(self) -> MemorySource {
        MemorySource::new(self)
    }
}

impl BlockSource for MemorySource {
    fn info(&self) -> &CaptureInfo {
        &self.capture.info
    }

    fn read_block(&mut self, block: &mut [f32]) -> Result<usize, ReadError> {
        let width = self.capture.info.kind.width();
        let rest = self
            .capture
            .samples
            .get(self.position..)
            .unwrap_or_default();
        let count = block.len().min(rest.len());
        let count = count - count % width;
        if let Some((target, samples)) = block.get_mut(..count).zip(rest.get(..count)) {
            target.copy_from_slice(samples);
        }
        self.position += count;
        Ok(count)
    }

    fn warnings(&self) -> &[ReadWarning] {
        &self.warnings
    }
}
