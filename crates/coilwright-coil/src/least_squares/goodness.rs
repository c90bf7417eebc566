use serde::{Deserialize, Serialize};

/// Standard deviations of the lag-one correlation beyond which residuals are not white.
const WHITE: f64 = 3.3;

/// Variance that a fit's own residuals give its errors per unit of its normal equations' inverse.
///
/// An error over the deviation that `ν` residual degrees of freedom tell follows Student's t, whose variance is `ν/(ν − 2)`: with the
/// plain `squares/ν` too few intervals of a short record would hold (JCGM 101:2008, 6.4.9.4, from memory). Below three degrees, as for three.
pub(crate) fn error_variance(squares: f64, degrees: f64) -> f64 {
    squares / (degrees - 2.0).max(1.0)
}

/// How far the residuals of a fit look like white noise.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct ResidualTest {
    /// Root mean square of the residuals, in the data's unit, with the degrees of freedom counted.
    pub rms: f64,
    /// Correlation of each residual with its neighbour in frequency or time; zero for white noise.
    pub lag_one: f64,
    /// Whether that correlation lies within 3.3 standard deviations `1/√n` of zero (about 1 in 1000 by chance).
    ///
    /// If not, the model or the instrument leaves a pattern: the stated standard deviations are too small.
    pub is_white: bool,
    /// Part of the data's energy about its mean that the model explains.
    pub explained: f64,
}

impl ResidualTest {
    /// From the residuals of one or more channels, each in order, whose data have this energy about their mean.
    pub(crate) fn of(channels: &[&[f64]], degrees: f64, energy: f64) -> Self {
        let (mut squares, mut lagged, mut count) = (0.0, 0.0, 0.0);
        for residuals in channels {
            squares += residuals.iter().map(|r| r * r).sum::<f64>();
            lagged += residuals
                .iter()
                .zip(residuals.iter().skip(1))
                .map(|(a, b)| a * b)
                .sum::<f64>();
            count += residuals.len() as f64;
        }
        let lag_one = if squares > 0.0 { lagged / squares } else { 0.0 };
        Self {
            rms: (squares / degrees.max(1.0)).sqrt(),
            lag_one,
            is_white: lag_one.abs() * count.sqrt() < WHITE,
            explained: 1.0 - squares / energy.max(f64::MIN_POSITIVE),
        }
    }
}
