use super::{RingDownFit, RingDownOptions, choose, prepare, report};
use crate::FitError;
use crate::model::Model;

/// Returns resonance and Q of a free decay, jointly from one or more records.
///
/// Each record is a run of samples that starts just after the excitation stopped, rather late than early. All share the
/// natural modes; each has its own amplitude, phase and DC. One mode over a level is fitted; if its residual is not noise, a sloping baseline is tried, then a second mode, which
/// is kept if an F test at 1e-4 keeps it. The undamped resonance `ω₀/2π` and `Q = ω₀/2α` are reported, with standard
/// deviations from the Fisher information and the noise left in the residual.
///
/// Three time constants of record come within 6 % of the attainable accuracy; one doubles the errors.
///
/// # Errors
///
/// [`FitError`]: a call that makes no sense; nothing above the noise; a tail that dies within a cycle
/// ([`FitError::NoRingDown`]); an oscillation that does not decay; a residual that damped sinusoids do not explain.
///
/// # Example
///
/// ```
/// use coilwright_coil::{RingDownOptions, fit_ring_down};
/// let tail: Vec<f32> = (0..400)
///     .map(|n| {
///         let t = f64::from(n) * 1e-6;
///         (0.2 + (-19_635.0 * t).exp() * (785_000.0 * t + 0.4).cos()) as f32
///     })
///     .collect();
/// let fit = fit_ring_down(&[&tail], 1e6, &RingDownOptions::default())?;
/// assert!((fit.mode.q.value - 19.996_07).abs() < 1e-5);
/// assert!((fit.mode.resonance_hz.value - 124_975.707).abs() < 0.001);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
///
/// # Source
///
/// Variable projection: Golub and Pereyra, SIAM J. Numer. Anal. 10 (1973) 413, from memory.
pub fn fit_ring_down(
    records: &[&[f32]],
    sample_rate_hz: f64,
    options: &RingDownOptions,
) -> Result<RingDownFit, FitError> {
    let call = prepare(records, sample_rate_hz, options)?;
    let chosen = choose(&call, &[Model::default(), Model::drifting()])?;
    report(&call, &chosen)
}
