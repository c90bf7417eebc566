use crate::FitError;
use num_complex::Complex64;

/// Refuses frequencies that are not positive, finite and rising, or fewer than `needed`.
pub(crate) fn check_frequencies(frequencies_hz: &[f64], needed: usize) -> Result<(), FitError> {
    if frequencies_hz.len() < needed {
        return Err(FitError::TooFewPoints {
            found: frequencies_hz.len(),
            needed,
        });
    }
    let mut before_hz = 0.0;
    for (index, &found_hz) in frequencies_hz.iter().enumerate() {
        if !(found_hz.is_finite() && found_hz > before_hz) {
            return Err(FitError::FrequencyOrder {
                index,
                found_hz,
                before_hz,
            });
        }
        before_hz = found_hz;
    }
    Ok(())
}

/// Refuses values that are not finite, or not one for each frequency.
pub(crate) fn check_values(frequencies: usize, values: &[Complex64]) -> Result<(), FitError> {
    if frequencies != values.len() {
        return Err(FitError::LengthsDiffer {
            frequencies,
            values: values.len(),
        });
    }
    match values.iter().position(|v| !v.is_finite()) {
        Some(index) => Err(FitError::PointNotFinite { index }),
        None => Ok(()),
    }
}

/// The lowest and the highest frequency.
pub(crate) fn band(frequencies_hz: &[f64]) -> (f64, f64) {
    let end = |frequency: Option<&f64>| frequency.copied().unwrap_or(0.0);
    (end(frequencies_hz.first()), end(frequencies_hz.last()))
}

/// Refuses a resonance outside the frequencies that were measured.
pub(crate) fn require_within(frequencies_hz: &[f64], resonance_hz: f64) -> Result<(), FitError> {
    let (low_hz, high_hz) = band(frequencies_hz);
    if resonance_hz >= low_hz && resonance_hz <= high_hz {
        return Ok(());
    }
    Err(FitError::ResonanceOutside {
        resonance_hz,
        low_hz,
        high_hz,
    })
}

/// What is known of the points of a response besides their values.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct PointKnowledge<'a> {
    /// Standard deviation of each value, relative to the others; `None` if all are alike.
    pub(crate) noise: Option<&'a [f64]>,
    /// Standard deviation of the frequencies that each value is the mean over; `None` if each is one frequency.
    pub(crate) spread_hz: Option<&'a [f64]>,
}

/// Nodes and weights of Gauss' and Legendre's quadrature of three points, in standard deviations of an even spread: `±√(3/5)` of its half width, which is `√3` deviations.
const NODES: [(f64, f64); 3] = [
    (-1.341_640_786_499_873_8, 5.0 / 18.0),
    (0.0, 8.0 / 18.0),
    (1.341_640_786_499_873_8, 5.0 / 18.0),
];

impl PointKnowledge<'_> {
    /// Frequencies and weights whose mean is the point's value.
    pub(crate) fn nodes(
        &self,
        point: usize,
        frequency_hz: f64,
    ) -> impl Iterator<Item = (f64, f64)> {
        let spread_hz = self.spread_hz.and_then(|s| s.get(point)).copied();
        let count = if spread_hz.is_some() { NODES.len() } else { 1 };
        NODES.into_iter().take(count).map(move |(node, weight)| {
            spread_hz.map_or((frequency_hz, 1.0), |spread| {
                (frequency_hz + node * spread, weight)
            })
        })
    }

    /// Factor that brings a point to unit noise.
    pub(crate) fn scale(&self, point: usize) -> f64 {
        self.noise
            .and_then(|noise| noise.get(point))
            .map_or(1.0, |deviation| deviation.recip())
    }
}
