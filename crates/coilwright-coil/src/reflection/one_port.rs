use super::coil::{ReflectionOptions, fit_coil_reflection};
use super::convert::reflection_to_impedance;
use super::q_circle::{CircleFit, Connection, fit_q_circle};
use crate::impedance::{
    CoilFit, ImpedanceOptions, ImpedanceTable, LEAST_POINTS, Port, SeriesRingFit, fit_series_parts,
};
use crate::{FitError, ResponseOptions};
use num_complex::Complex64;
use serde::{Deserialize, Serialize};

/// Standard deviations from which on a part is there.
const SURE: f64 = 4.0;

/// What a port is connected to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum OnePort {
    /// A ring: something resonates.
    Ring {
        /// The resonance circle.
        circle: Box<CircleFit>,
        /// Inductance, capacitance and resistance, where the port feeds them in series.
        series: Option<Box<SeriesRingFit>>,
    },
    /// A series ring by its parts alone: it resonates outside the sweep, or the port damps it too much for a circle.
    Flank(Box<SeriesRingFit>),
    /// A coil without a capacitor.
    Coil(Box<CoilFit>),
}

/// Returns the numbers of whatever reflects: of a ring where the sweep holds a resonance, else of an untuned coil.
///
/// The ring's Q is the unloaded one, see [`fit_q_circle`]; its parts are those of [`fit_series_ring`](crate::fit_series_ring).
///
/// # Errors
///
/// As [`fit_coil_reflection`]; an open and a shorted port are errors of their own there.
///
/// ```
/// use coilwright_coil::{OnePort, ReflectionOptions, fit_one_port};
/// use num_complex::Complex64;
/// let frequencies_hz: Vec<f64> = (0..201).map(|n| 115e3 + 100.0 * f64::from(n)).collect();
/// let reflection: Vec<Complex64> = frequencies_hz
///     .iter()
///     .map(|f| {
///         let w = std::f64::consts::TAU * f;
///         let z = Complex64::new(40.0, w * 1.62e-3 - (w * 1e-9).recip());
///         (z - 50.0) / (z + 50.0)
///     })
///     .collect();
/// let fit = fit_one_port(&frequencies_hz, &reflection, 50.0, &ReflectionOptions::default())?;
/// let OnePort::Ring { circle, series: Some(series) } = fit else { panic!("a ring") };
/// assert!((circle.unloaded_q.value - 31.8).abs() < 0.1);
/// assert!((series.inductance_henry.value / 1.62e-3 - 1.0).abs() < 1e-6);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
pub fn fit_one_port(
    frequencies_hz: &[f64],
    reflection: &[Complex64],
    reference_ohm: f64,
    options: &ReflectionOptions,
) -> Result<OnePort, FitError> {
    let circle = fit_q_circle(
        frequencies_hz,
        reflection,
        Connection::Reflection,
        &ResponseOptions::default(),
    );
    let parts = series(frequencies_hz, reflection, reference_ohm);
    let Ok(circle) = circle else {
        if let Some(parts) = parts.filter(stands_out) {
            return Ok(OnePort::Flank(Box::new(parts)));
        }
        let coil = fit_coil_reflection(frequencies_hz, reflection, reference_ohm, options)?;
        return Ok(OnePort::Coil(Box::new(coil)));
    };
    let loaded_hz = circle.response.resonance_hz.value;
    let width_hz = loaded_hz / circle.response.q.value;
    // The port's resistance does not move a series ring's resonance.
    let series = parts.filter(|fit| (fit.resonance_hz.value - loaded_hz).abs() < 0.5 * width_hz);
    Ok(OnePort::Ring {
        circle: Box::new(circle),
        series: series.map(Box::new),
    })
}

/// Whether each part is sure.
fn stands_out(fit: &SeriesRingFit) -> bool {
    let parts = [
        fit.inductance_henry,
        fit.capacitance_farad,
        fit.resistance_ohm,
    ];
    parts.iter().all(|part| part.value > SURE * part.std_dev)
}

/// The parts of a series ring, if the impedance has them.
fn series(
    frequencies_hz: &[f64],
    reflection: &[Complex64],
    reference_ohm: f64,
) -> Option<SeriesRingFit> {
    let impedances: Vec<Complex64> = reflection
        .iter()
        .map(|s| reflection_to_impedance(*s, reference_ohm))
        .collect();
    let port = Port {
        reflection,
        reference_ohm,
    };
    let options = ImpedanceOptions::default();
    let table = ImpedanceTable::check(frequencies_hz, &impedances, &options, LEAST_POINTS).ok()?;
    fit_series_parts(&table, Some(port)).ok()
}
