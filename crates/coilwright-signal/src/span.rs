use serde::{Deserialize, Serialize};

/// A half-open run of sample positions, `start..end`, counted from the first sample of the capture.
///
/// ```
/// use coilwright_signal::Span;
/// let span = Span::new(1_000, 3_000);
/// assert_eq!(span.len(), 2_000);
/// assert_eq!(span.seconds(1e6), (0.001, 0.003));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Span {
    /// First sample of the span.
    pub start: u64,
    /// One past the last sample of the span.
    pub end: u64,
}

impl Span {
    /// A span; an `end` before `start` makes an empty span at `start`.
    #[must_use]
    pub const fn new(start: u64, end: u64) -> Self {
        Self {
            start,
            end: if end < start { start } else { end },
        }
    }

    /// Length in samples.
    #[must_use]
    pub const fn len(self) -> u64 {
        self.end - self.start
    }

    /// Whether the span holds no sample.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.end == self.start
    }

    /// Start and end in seconds from the first sample of the capture.
    #[must_use]
    pub fn seconds(self, sample_rate_hz: f64) -> (f64, f64) {
        (
            self.start as f64 / sample_rate_hz,
            self.end as f64 / sample_rate_hz,
        )
    }
}
