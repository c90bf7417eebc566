//! Means of the deviation over parts of a bit.

use crate::demodulate::{Baseband, BitTimes};
use crate::dsp::RunningSum;

/// Running sum of a signal whose value k stands for sample `first + k * step`, read by sample position.
pub(super) struct Means {
    sums: RunningSum,
    first: f64,
    step: f64,
}

impl Means {
    /// The means of values that stand for samples `first`, `first + step`, ….
    pub(super) fn of(values: &[f32], first: f64, step: f64) -> Self {
        Self {
            sums: RunningSum::of(values),
            first,
            step,
        }
    }

    /// The means of a baseband.
    pub(super) fn of_baseband(baseband: &Baseband) -> Self {
        Self::of(&baseband.values, baseband.first, baseband.step)
    }

    /// The mean over the samples `from..to`, or `None` where the signal does not cover them.
    pub(super) fn over(&self, from: f64, to: f64) -> Option<f64> {
        // Value k holds over k..k+1 of the running sum and stands for the sample in its middle.
        let place = |sample: f64| (sample - self.first) / self.step + 0.5;
        let (from, to) = (place(from), place(to));
        (from >= 0.0 && to <= self.sums.len() as f64 && to > from)
            .then(|| (self.sums.up_to(to) - self.sums.up_to(from)) / (to - from))
    }
}

/// Start of half-bit `index`, in samples from the start of the capture.
pub(super) fn half_bit(times: &BitTimes, index: usize) -> f64 {
    times.first + 0.5 * index as f64 * times.period
}

/// At most `limit` of `count` indices, evenly spread, in rising order.
pub(super) fn spread(count: usize, limit: usize) -> impl Iterator<Item = usize> {
    let taken = count.min(limit);
    (0..taken).map(move |k| k * count / taken)
}
