use super::lines::{edge_models, edge_options};
use super::ring_mode::{Excitation, ring_first};
use super::settled::{Settled, fit_settled};
use crate::ringdown::{Chosen, RingDownFit, RingDownOptions};
use crate::{Estimate, FitError};
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// Orders of the drive's harmonics that are tried in turn: the carrier alone, with its third, with all that a
/// square-wave driver makes strong.
const HARMONICS: [&[u32]; 3] = [&[1], &[1, 3], &[1, 2, 3, 5, 7]];

/// Resonance and Q from the transient after the drive starts: the pole with the driver on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TurnOnFit {
    /// The natural mode that dies away under the steady state.
    pub ring: RingDownFit,
    /// Drive frequency after the fit, hertz.
    pub drive_hz: Estimate,
    /// Amplitude of the steady carrier, root mean square over the records, in the samples' unit.
    pub steady_amplitude: f64,
    /// Logarithm of the odds that the first mode is the ring and the second a key; `None` where one mode was found.
    pub ln_odds: Option<f64>,
}

/// Returns resonance and Q from the transients after the drive starts, jointly from one or more edges.
///
/// Each record starts a few samples after an edge and reaches into the steady state. The drive frequency should come from
/// the steady carrier; its standard deviation enters as prior knowledge, zero holds it fixed. The harmonics of the drive,
/// folded where they exceed half the sample rate, are fitted too if the residual demands it.
///
/// # Errors
///
/// As [`fit_ring_down`](crate::fit_ring_down), and [`FitError::BadDriveFrequency`].
///
/// # Example
///
/// ```
/// use coilwright_coil::{Estimate, RingDownOptions, fit_turn_on};
/// let record: Vec<f32> = (0..500)
///     .map(|n| {
///         let t = f64::from(n) * 1e-6;
///         let steady = (std::f64::consts::TAU * 125_000.0 * t).sin();
///         (steady - (-30_000.0 * t).exp() * (800_000.0 * t).sin()) as f32
///     })
///     .collect();
/// let fit = fit_turn_on(&[&record], 1e6, Estimate::new(125_000.0, 0.0), &RingDownOptions::default())?;
/// assert!((fit.ring.mode.q.value - 13.343).abs() < 1e-3);
/// assert!((fit.steady_amplitude - 1.0).abs() < 1e-6);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
pub fn fit_turn_on(
    records: &[&[f32]],
    sample_rate_hz: f64,
    drive_hz: Estimate,
    options: &RingDownOptions,
) -> Result<TurnOnFit, FitError> {
    let options = edge_options(drive_hz, sample_rate_hz, options)?;
    let bases = |longest| edge_models(drive_hz, sample_rate_hz, &HARMONICS, longest);
    let Settled { mut ring, chosen } =
        fit_settled(records, sample_rate_hz, drive_hz, &options, &bases)?;
    let excitation = Excitation::of(drive_hz, sample_rate_hz, &options, &ring);
    let ln_odds = ring_first(&mut ring, excitation);
    let carrier = chosen.refined.model.modes.len();
    let power = ring
        .records
        .iter()
        .filter_map(|r| r.components.get(carrier))
        .map(|c| c.amplitude * c.amplitude);
    let steady_amplitude = (power.sum::<f64>() / ring.records.len() as f64).sqrt();
    Ok(TurnOnFit {
        ring,
        drive_hz: refined_drive(&chosen, drive_hz, sample_rate_hz),
        steady_amplitude,
        ln_odds,
    })
}

fn refined_drive(chosen: &Chosen, drive_hz: Estimate, sample_rate_hz: f64) -> Estimate {
    let Some(prior) = chosen.refined.model.drive else {
        return drive_hz;
    };
    let per_hz = sample_rate_hz / TAU;
    let index = 2 * chosen.refined.model.modes.len();
    let variance = chosen.refined.covariance.rows[index][index];
    Estimate::new(
        drive_hz.value + prior.offset * per_hz,
        variance.sqrt() * per_hz,
    )
}
