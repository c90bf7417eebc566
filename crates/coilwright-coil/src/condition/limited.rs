use super::standard::Range;
use libm::erfc;
use std::f64::consts::SQRT_2;

/// With one limit alone, how far from it a sound number lies on the mean, as a logarithm: a factor of two (a guess, no source).
const BEYOND: f64 = std::f64::consts::LN_2;

/// Where the logarithm of a sound number lies between limits: anywhere, evenly; where there is only one, near it rather than far.
#[derive(Clone, Copy, Debug)]
pub(super) enum Limited {
    Between { low: f64, high: f64 },
    From(f64),
    UpTo(f64),
}

impl Limited {
    /// Of a range with at least one end; a lower one of 0 and an upper one without end are none.
    pub(super) fn of(range: &Range) -> Option<Self> {
        let low = (range.low > 0.0).then(|| range.low.ln());
        let high = range.high.is_finite().then(|| range.high.ln());
        match (low, high) {
            (Some(low), Some(high)) => Some(Self::Between { low, high }),
            (Some(low), None) => Some(Self::From(low)),
            (None, Some(high)) => Some(Self::UpTo(high)),
            (None, None) => None,
        }
    }

    /// A value in the midst, its logarithm.
    pub(super) fn centre(self) -> f64 {
        match self {
            Self::Between { low, high } => 0.5 * (low + high),
            Self::From(low) => low + BEYOND,
            Self::UpTo(high) => high - BEYOND,
        }
    }

    /// Standard deviation of the logarithm.
    pub(super) fn spread(self) -> f64 {
        match self {
            Self::Between { low, high } => (high - low) / 12_f64.sqrt(),
            Self::From(_) | Self::UpTo(_) => BEYOND,
        }
    }

    /// Density of a measured logarithm whose normal error has this standard deviation: the distribution of the sound number, convolved with it.
    pub(super) fn density(self, logarithm: f64, std_dev: f64) -> f64 {
        match self {
            Self::Between { low, high } => {
                let below = |end: f64| 0.5 * erfc((end - logarithm) / (std_dev * SQRT_2));
                (below(low) - below(high)).max(0.0) / (high - low)
            }
            Self::From(low) => beyond(logarithm - low, std_dev),
            Self::UpTo(high) => beyond(high - logarithm, std_dev),
        }
    }
}

/// Density of an exponential distribution with the mean `BEYOND` from 0 up, convolved with a normal one of σ:
/// `(1/τ) exp(σ²/2τ² − x/τ) Φ(x/σ − σ/τ)`.
fn beyond(x: f64, std_dev: f64) -> f64 {
    let relative = std_dev / BEYOND;
    let inside = 0.5 * erfc((relative - x / std_dev) / SQRT_2);
    if inside == 0.0 {
        return 0.0;
    }
    inside * (0.5 * relative * relative - x / BEYOND).exp() / BEYOND
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
mod tests {
    use super::*;

    fn limited(low: f64, high: f64) -> Limited {
        Limited::of(&Range { low, high }).unwrap()
    }

    #[test]
    fn each_is_a_distribution_with_the_stated_mean() {
        for (limited, mean) in [
            (limited(15.0, 30.0), 450_f64.sqrt().ln()),
            (limited(15.0, f64::INFINITY), 15_f64.ln() + BEYOND),
            (limited(0.0, 30.0), 30_f64.ln() - BEYOND),
        ] {
            for std_dev in [0.01, 0.2] {
                let step = 1e-3;
                let points = (-10_000..15_000).map(|n| f64::from(n) * step);
                let (mut sum, mut first) = (0.0, 0.0);
                for x in points {
                    let density = limited.density(x, std_dev) * step;
                    sum += density;
                    first += density * x;
                }
                assert!((sum - 1.0).abs() < 2e-3, "{limited:?} {sum}");
                assert!((first - mean).abs() < 5e-3, "{limited:?} {first}");
                assert!((limited.centre() - mean).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn what_lies_outside_by_many_deviations_is_impossible_and_never_not_a_number() {
        let from = limited(15.0, f64::INFINITY);
        assert!(from.density(12_f64.ln(), 1e-3) < 1e-300);
        assert!(from.density(-700.0, 1e-4) == 0.0);
        assert!(from.density(300_f64.ln(), 1e-4) > 0.0);
        assert!(limited(15.0, 16.0).density(17_f64.ln(), 1e-4) == 0.0);
        assert!(
            Limited::of(&Range {
                low: 0.0,
                high: f64::INFINITY
            })
            .is_none()
        );
    }
}
