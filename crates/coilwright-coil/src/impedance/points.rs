use crate::least_squares::Solution;
use crate::quantity::Positive;
use crate::response::{check_frequencies, check_values};
use crate::{FitError, Measured};
use num_complex::Complex64;

/// What is known of the uncertainty of a table of impedances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ImpedanceNoise<'a> {
    /// In proportion to the magnitude, as impedance meters are specified; how much is found from the scatter.
    Proportional,
    /// In proportion to the magnitude, with a known factor: an accuracy of 0.1 % is 0.001 (one standard deviation).
    Relative(f64),
    /// A standard deviation of resistance and of reactance at each point, ohm; its scale is found from the scatter.
    Each(&'a [f64]),
    /// The same, and the scale is known.
    KnownEach(&'a [f64]),
}

impl ImpedanceNoise<'_> {
    /// Whether the standard deviations are known, not only their ratios.
    pub(crate) const fn is_known(self) -> bool {
        matches!(self, Self::Relative(_) | Self::KnownEach(_))
    }

    /// One standard deviation for each point.
    pub(crate) fn deviations(self, impedances: &[Complex64]) -> Result<Vec<f64>, FitError> {
        let deviations: Vec<f64> = match self {
            Self::Proportional => impedances.iter().map(|z| z.norm()).collect(),
            Self::Relative(part) => impedances.iter().map(|z| part * z.norm()).collect(),
            Self::Each(each) | Self::KnownEach(each) => each.to_vec(),
        };
        if deviations.len() != impedances.len() {
            return Err(FitError::LengthsDiffer {
                frequencies: impedances.len(),
                values: deviations.len(),
            });
        }
        for &deviation in &deviations {
            Positive::Deviation.check(deviation)?;
        }
        Ok(deviations)
    }
}

/// Settings of a fit to a table of impedances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ImpedanceOptions<'a> {
    /// What is known of the uncertainty.
    pub noise: ImpedanceNoise<'a>,
    /// Frequency at which the resistance and Q are given, hertz; default: the middle of the table, geometrically.
    pub reference_hz: Option<f64>,
}

impl Default for ImpedanceOptions<'_> {
    fn default() -> Self {
        Self {
            noise: ImpedanceNoise::Proportional,
            reference_hz: None,
        }
    }
}

/// A checked table.
#[derive(Clone, Debug)]
pub(crate) struct ImpedanceTable<'a> {
    pub(crate) frequencies_hz: &'a [f64],
    pub(crate) impedances_ohm: &'a [Complex64],
    pub(crate) deviations_ohm: Vec<f64>,
    pub(crate) noise_is_known: bool,
    pub(crate) reference_hz: f64,
}

impl<'a> ImpedanceTable<'a> {
    pub(crate) fn check(
        frequencies_hz: &'a [f64],
        impedances_ohm: &'a [Complex64],
        options: &ImpedanceOptions<'_>,
        needed: usize,
    ) -> Result<Self, FitError> {
        check_frequencies(frequencies_hz, needed)?;
        check_values(frequencies_hz.len(), impedances_ohm)?;
        if impedances_ohm.iter().all(|z| z.norm_sqr() == 0.0) {
            return Err(FitError::AllZero {
                quantity: Measured::Impedances,
                points: impedances_ohm.len(),
            });
        }
        let low = frequencies_hz.first().copied().unwrap_or(1.0);
        let high = frequencies_hz.last().copied().unwrap_or(1.0);
        let reference_hz = options.reference_hz.unwrap_or((low * high).sqrt());
        Positive::Frequency.check(reference_hz)?;
        Ok(Self {
            frequencies_hz,
            impedances_ohm,
            deviations_ohm: options.noise.deviations(impedances_ohm)?,
            noise_is_known: options.noise.is_known(),
            reference_hz,
        })
    }

    /// Sum of the squares of the impedances, each over its deviation.
    pub(crate) fn energy(&self) -> f64 {
        let each = self.impedances_ohm.iter().zip(&self.deviations_ohm);
        each.map(|(z, d)| z.norm_sqr() / (d * d)).sum()
    }

    /// Schwarz's criterion of a model with so many free parameters, with the noise known or from the residuals: the least is the best.
    pub(crate) fn criterion(&self, solution: &Solution, free: usize) -> f64 {
        let count = 2.0 * self.frequencies_hz.len() as f64;
        // Below the rounding of the data nothing can be told.
        let squares = solution.squares.max(1e-28 * self.energy());
        let penalty = free as f64 * count.ln();
        if self.noise_is_known {
            squares + penalty
        } else {
            count * (squares / count).ln() + penalty
        }
    }

    /// The solution with the covariance that the points' own deviations give, where these are known.
    pub(crate) fn with_its_noise(&self, solution: Solution) -> Solution {
        if !self.noise_is_known {
            return solution;
        }
        Solution {
            covariance: solution.unit_covariance.clone(),
            ..solution
        }
    }
}
