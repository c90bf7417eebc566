use super::convert::{impedance_std_dev, reflection_to_impedance};
use crate::impedance::{
    CoilFit, ImpedanceNoise, ImpedanceOptions, ImpedanceTable, fit_coil, open_or,
};
use crate::quantity::Positive;
use crate::response::{check_frequencies, check_values};
use crate::{Estimate, FitError};
use num_complex::Complex64;

/// Reflection uncertainty that remains after a careful calibration (common practice, no source: 60 dB of residual directivity).
const CALIBRATION_STD_DEV: f64 = 1e-3;
/// Largest relative standard deviation of Q that is worth stating.
const LARGEST_RELATIVE: f64 = 0.2;

/// Most that leads of half a metre have, 1 µH a metre (a straight wire's, textbook), and their contacts.
const WIRE_HENRY: f64 = 0.5e-6;
const WIRE_OHM: f64 = 2.0;

/// What is known of a reflection measurement of an untuned coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReflectionOptions {
    /// Standard deviation of the calibrated reflection that averaging does not remove: directivity, cable drift. It is taken for the same at
    /// all frequencies. Default 1e-3.
    pub calibration_std_dev: f64,
    /// Largest relative standard deviation of Q that is accepted. Default 0.2.
    pub largest_relative: f64,
    /// Where resistance and Q are given, hertz; default: the middle of the sweep, geometrically.
    pub reference_hz: Option<f64>,
}

impl Default for ReflectionOptions {
    fn default() -> Self {
        Self {
            calibration_std_dev: CALIBRATION_STD_DEV,
            largest_relative: LARGEST_RELATIVE,
            reference_hz: None,
        }
    }
}

/// Returns L, R, Q and self-capacitance of an untuned coil from its calibrated reflection.
///
/// Each point's impedance has the deviation that noise in the reflection makes of it, `2 Z₀ σ/|1 − S|²`. The resistance's deviation
/// is that of the fit and that of the calibration together: the latter shifts all points alike, so averaging does not lessen it.
///
/// # Errors
///
/// As [`fit_coil`]; [`FitError::OpenCircuit`] and [`FitError::ShortCircuit`] where there is no coil; [`FitError::ReflectionBlind`], which
/// still holds the inductance, where the resistance, and with it Q, drowns: for a coil of reactance `X` far
/// above `Z₀`, `σ_Q/Q = Q X σ_S/2Z₀`, so 1 mH at 125 kHz with Q 50 and 1e-3 has 39 %.
///
/// ```
/// use coilwright_coil::{FitError, ReflectionOptions, fit_coil_reflection};
/// use num_complex::Complex64;
/// let frequencies_hz: Vec<f64> = (0..51).map(|n| 100e3 + 1e3 * f64::from(n)).collect();
/// let reflection: Vec<Complex64> = frequencies_hz
///     .iter()
///     .map(|f| {
///         let z = Complex64::new(15.7, std::f64::consts::TAU * f * 1e-3);
///         (z - 50.0) / (z + 50.0)
///     })
///     .collect();
/// let refused = fit_coil_reflection(&frequencies_hz, &reflection, 50.0, &ReflectionOptions::default());
/// assert!(matches!(refused, Err(FitError::ReflectionBlind { .. })));
/// ```
pub fn fit_coil_reflection(
    frequencies_hz: &[f64],
    reflection: &[Complex64],
    reference_ohm: f64,
    options: &ReflectionOptions,
) -> Result<CoilFit, FitError> {
    check_frequencies(frequencies_hz, 3)?;
    check_values(frequencies_hz.len(), reflection)?;
    Positive::ReferenceResistance.check(reference_ohm)?;
    Positive::Deviation.check(options.calibration_std_dev)?;
    let impedances: Vec<Complex64> = reflection
        .iter()
        .map(|&s| reflection_to_impedance(s, reference_ohm))
        .collect();
    let deviations: Vec<f64> = reflection
        .iter()
        .map(|&s| impedance_std_dev(s, reference_ohm, 1.0))
        .collect();
    let knowledge = ImpedanceOptions {
        noise: ImpedanceNoise::Each(&deviations),
        reference_hz: options.reference_hz,
    };
    let table = ImpedanceTable::check(frequencies_hz, &impedances, &knowledge, 3)?;
    fit_coil(frequencies_hz, &impedances, &knowledge)
        .and_then(|fit| with_calibration(fit, frequencies_hz, reflection, reference_ohm, options))
        .map_err(|found| open_or(&table, short_or(found)))
}

/// The error of a short for a coil of no more than a wire's inductance and resistance, or else the error that was found.
fn short_or(found: FitError) -> FitError {
    match found {
        FitError::ReflectionBlind {
            inductance_henry,
            resistance_ohm,
            ..
        } if inductance_henry.value < WIRE_HENRY && resistance_ohm.value < WIRE_OHM => {
            FitError::ShortCircuit {
                resistance_ohm,
                inductance_henry,
            }
        }
        other => other,
    }
}

/// Adds the calibration's part to the deviations and refuses a Q that means nothing.
fn with_calibration(
    mut fit: CoilFit,
    frequencies_hz: &[f64],
    reflection: &[Complex64],
    reference_ohm: f64,
    options: &ReflectionOptions,
) -> Result<CoilFit, FitError> {
    let nearest = frequencies_hz
        .iter()
        .zip(reflection)
        .min_by(|a, b| {
            let far = |f: f64| (f - fit.reference_hz).abs();
            far(*a.0).total_cmp(&far(*b.0))
        })
        .map_or(Complex64::new(0.0, 0.0), |(_, s)| *s);
    let shift = impedance_std_dev(nearest, reference_ohm, options.calibration_std_dev);
    let omega = std::f64::consts::TAU * fit.reference_hz;
    fit.resistance_ohm = widened(fit.resistance_ohm, shift);
    fit.inductance_henry = widened(fit.inductance_henry, shift / omega);
    let resistance = fit.resistance_ohm;
    let part = shift / resistance.value;
    fit.q = widened(fit.q, fit.q.value * part);
    fit.resonance_q = fit.resonance_q.map(|q| widened(q, q.value * part));
    let relative = resistance.std_dev / resistance.value.abs();
    if relative >= options.largest_relative || relative.is_nan() {
        return Err(FitError::ReflectionBlind {
            inductance_henry: fit.inductance_henry,
            capacitance_farad: fit.capacitance_farad,
            frequency_hz: fit.reference_hz,
            reference_ohm,
            resistance_ohm: resistance,
            impedance_ohm: reflection_to_impedance(nearest, reference_ohm).norm(),
            reflection_std_dev: options.calibration_std_dev,
            relative,
            limit: options.largest_relative,
        });
    }
    Ok(fit)
}

fn widened(estimate: Estimate, by: f64) -> Estimate {
    Estimate::new(estimate.value, estimate.std_dev.hypot(by))
}
