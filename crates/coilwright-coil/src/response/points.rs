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
