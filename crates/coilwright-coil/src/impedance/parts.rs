use crate::{Estimate, FitError};
use num_complex::Complex64;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// A coil at one frequency, in series form.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct ImpedancePart {
    /// Frequency, hertz.
    pub frequency_hz: f64,
    /// Apparent series inductance `Im Z/ω`, henry; it grows towards the self-resonance.
    pub inductance_henry: Estimate,
    /// Apparent series resistance `Re Z`, ohm.
    pub resistance_ohm: Estimate,
    /// Apparent `Q = Im Z/Re Z`; its deviation is that to first order, infinite at zero resistance.
    pub q: Estimate,
}

/// Returns apparent inductance, resistance and Q at each frequency, with what a standard deviation of each part of the impedance makes of them.
///
/// # Errors
///
/// [`FitError::LengthsDiffer`] if the three are not of one length.
///
/// ```
/// use coilwright_coil::inductance_and_resistance;
/// use num_complex::Complex64;
/// let z = Complex64::new(8.0, std::f64::consts::TAU * 125e3 * 1e-3);
/// let part = inductance_and_resistance(&[125e3], &[z], &[0.5])?[0];
/// assert!((part.inductance_henry.value - 1e-3).abs() < 1e-15);
/// assert!((part.q.value - 98.17).abs() < 0.01 && (part.q.std_dev - 6.14).abs() < 0.01);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
pub fn inductance_and_resistance(
    frequencies_hz: &[f64],
    impedances_ohm: &[Complex64],
    deviations_ohm: &[f64],
) -> Result<Vec<ImpedancePart>, FitError> {
    let frequencies = frequencies_hz.len();
    for values in [impedances_ohm.len(), deviations_ohm.len()] {
        if values != frequencies {
            return Err(FitError::LengthsDiffer {
                frequencies,
                values,
            });
        }
    }
    Ok(frequencies_hz
        .iter()
        .zip(impedances_ohm)
        .zip(deviations_ohm)
        .map(|((&frequency_hz, z), &deviation)| {
            let omega = TAU * frequency_hz;
            let q = z.im / z.re;
            ImpedancePart {
                frequency_hz,
                inductance_henry: Estimate::new(z.im / omega, deviation / omega),
                resistance_ohm: Estimate::new(z.re, deviation),
                q: Estimate::new(q, deviation * 1_f64.hypot(q) / z.re.abs()),
            }
        })
        .collect())
}
