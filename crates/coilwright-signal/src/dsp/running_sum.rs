/// The running sum of a signal, read between samples by linear interpolation.
///
/// Position t is a time in samples: the signal's value k is taken to hold over k..k+1.
#[derive(Clone, Debug)]
pub(crate) struct RunningSum {
    sums: Vec<f64>,
}

impl RunningSum {
    /// The running sum of `values`.
    pub(crate) fn of(values: &[f32]) -> Self {
        let mut sum = 0.0;
        let sums = std::iter::once(0.0)
            .chain(values.iter().map(|&value| {
                sum += f64::from(value);
                sum
            }))
            .collect();
        Self { sums }
    }

    /// Length of the signal in samples.
    pub(crate) fn len(&self) -> usize {
        self.sums.len() - 1
    }

    /// The integral of the signal from 0 to `t`, held constant outside the signal.
    #[inline]
    pub(crate) fn up_to(&self, t: f64) -> f64 {
        let t = t.clamp(0.0, self.len() as f64);
        let whole = t as usize;
        let below = self.sums.get(whole).copied().unwrap_or_default();
        let above = self.sums.get(whole + 1).copied().unwrap_or(below);
        below + (t - whole as f64) * (above - below)
    }
}
