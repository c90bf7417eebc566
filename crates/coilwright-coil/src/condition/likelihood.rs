use super::evidence::Ringing;
use super::hypothesis::{Case, DirectPath};
use super::limited::Limited;
use super::number::COUNT;
use super::standard::Expected;
use super::state::NUMBERS_BY_PART;
use crate::OhmmeterEvidence;
use nalgebra::{DMatrix, DVector};
use std::f64::consts::TAU;

/// Nothing is known better than this, relative.
const FINEST: f64 = 1e-4;
/// At this Q a decay is seen to ring in one case of two: it dies within about a cycle.
const LEAST_Q: f64 = 3.0;
/// How often a sound ring is not seen, or one that is gone is: a wrong setting, a stray resonance.
pub(super) const MISTAKE: f64 = 0.005;

/// Numbers that both the coil and the standard have.
#[derive(Clone, Debug)]
pub(super) struct Compared {
    /// Places in the vectors of all numbers.
    pub(super) indices: Vec<usize>,
    /// Logarithm of measured over expected.
    pub(super) ratios: Vec<f64>,
    /// Relative standard deviation of the measurement.
    pub(super) measured: Vec<f64>,
}

impl Compared {
    /// Relative covariance of measured over expected for a coil of the standard's kind, with what a model leaves out.
    pub(super) fn covariance(&self, expected: &Expected, model: &[f64; COUNT]) -> DMatrix<f64> {
        let count = self.indices.len();
        DMatrix::from_fn(count, count, |row, column| {
            let (i, j) = (self.indices[row], self.indices[column]);
            let shared: f64 = NUMBERS_BY_PART[i]
                .iter()
                .zip(NUMBERS_BY_PART[j])
                .zip(expected.base)
                .map(|((a, b), spread)| a * b * spread * spread)
                .sum();
            if i == j {
                let alone = [expected.own[i], self.measured[row], model[i], FINEST];
                shared + alone.iter().map(|s| s * s).sum::<f64>()
            } else {
                shared
            }
        })
    }
}

/// How well a case explains what was measured.
pub(super) enum Likelihood<'a> {
    /// About values that are known with a deviation.
    Normal(Normal<'a>),
    /// Of sound numbers that lie somewhere within limits.
    Limits(WithinLimits<'a>),
}

impl<'a> Likelihood<'a> {
    /// Of the standard's kind, with what a model leaves out.
    pub(super) fn new(
        compared: &'a Compared,
        expected: &Expected,
        model: &[f64; COUNT],
    ) -> Option<Self> {
        if let Some(limits) = WithinLimits::new(compared, expected, model) {
            return Some(Self::Limits(limits));
        }
        Normal::new(compared, compared.covariance(expected, model)).map(Self::Normal)
    }

    /// Density of what was measured under a case.
    pub(super) fn density(&self, case: &Case) -> f64 {
        match self {
            Self::Normal(normal) => normal.density(case),
            Self::Limits(limits) => limits.density(case),
        }
    }
}

/// Numbers of a sound coil within limits, each by itself.
pub(super) struct WithinLimits<'a> {
    compared: &'a Compared,
    /// Of each number: its limits, the logarithm that was measured, its standard deviation.
    each: Vec<(Limited, f64, f64)>,
}

impl<'a> WithinLimits<'a> {
    /// None where the standard is no set of limits.
    fn new(compared: &'a Compared, expected: &Expected, model: &[f64; COUNT]) -> Option<Self> {
        let of = |((&index, &ratio), &measured): ((&usize, &f64), &f64)| {
            let limited = Limited::of(expected.limits[index].as_ref()?)?;
            let std_dev = measured.hypot(model[index]).hypot(FINEST);
            Some((limited, limited.centre() + ratio, std_dev))
        };
        let rows = compared.indices.iter().zip(&compared.ratios);
        let each: Option<Vec<_>> = rows.zip(&compared.measured).map(of).collect();
        each.filter(|each| !each.is_empty())
            .map(|each| Self { compared, each })
    }

    fn density(&self, case: &Case) -> f64 {
        let predicted = case.state.numbers();
        let rows = self.compared.indices.iter().zip(&self.each);
        rows.map(|(&index, (limited, measured, std_dev))| {
            limited.density(measured - predicted[index], *std_dev)
        })
        .product()
    }
}

/// A normal distribution of the ratios' logarithms about a case's.
pub(super) struct Normal<'a> {
    compared: &'a Compared,
    inverse: DMatrix<f64>,
    scale: f64,
}

impl<'a> Normal<'a> {
    fn new(compared: &'a Compared, covariance: DMatrix<f64>) -> Option<Self> {
        let factor = covariance.cholesky()?;
        let scale = factor
            .l_dirty()
            .diagonal()
            .iter()
            .map(|d| (TAU.sqrt() * d).recip())
            .product();
        Some(Self {
            compared,
            inverse: factor.inverse(),
            scale,
        })
    }

    fn density(&self, case: &Case) -> f64 {
        let predicted = case.state.numbers();
        let away = DVector::from_iterator(
            self.compared.indices.len(),
            self.compared
                .indices
                .iter()
                .zip(&self.compared.ratios)
                .map(|(&i, ratio)| ratio - predicted[i]),
        );
        let distance = (&self.inverse * &away).dot(&away);
        self.scale * (-0.5 * distance).exp()
    }
}

/// Probability that a ring of this Q is seen as it was.
pub(super) fn ringing(seen: Ringing, q: f64) -> f64 {
    let silent = MISTAKE + (1.0 - 2.0 * MISTAKE) / (1.0 + (q / LEAST_Q).powi(4));
    seen_or_not(seen, 1.0 - silent)
}

/// Probability of what was seen, where a ring is seen with probability `rings`.
pub(super) fn seen_or_not(seen: Ringing, rings: f64) -> f64 {
    match seen {
        Ringing::NotTried => 1.0,
        Ringing::Seen => rings,
        Ringing::NoneSeen => 1.0 - rings,
    }
}

/// Probability of an ohmmeter's reading, besides the value that it shows of a winding.
pub(super) fn ohmmeter(
    reading: Option<&OhmmeterEvidence>,
    path: DirectPath,
    expected_ohm: Option<f64>,
) -> f64 {
    const CONTACT: f64 = 3e-3;
    const IMPOSSIBLE: f64 = 1e-4;
    let Some(reading) = reading else { return 1.0 };
    match (reading, path) {
        (OhmmeterEvidence::Open { .. }, DirectPath::Broken)
        | (OhmmeterEvidence::Shorted { .. }, DirectPath::Bridged)
        | (OhmmeterEvidence::Winding { .. }, DirectPath::Winding) => 1.0,
        // Tips that do not touch, or a capacitor in series.
        (OhmmeterEvidence::Open { .. }, _) => CONTACT,
        (OhmmeterEvidence::Shorted { resistance_ohm }, DirectPath::Winding) => match expected_ohm {
            // Few thick turns look like a short.
            Some(expected) if expected < resistance_ohm.value + 3.0 * resistance_ohm.std_dev => 1.0,
            Some(_) => CONTACT,
            None => 0.05,
        },
        (OhmmeterEvidence::Winding { .. }, DirectPath::Bridged) => 1e-2,
        (_, DirectPath::Broken) => IMPOSSIBLE,
    }
}
