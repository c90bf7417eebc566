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
