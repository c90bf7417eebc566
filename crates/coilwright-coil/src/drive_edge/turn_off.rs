use super::lines::{edge_models, edge_options};
use super::ring_mode::{Excitation, ring_first};
use super::settled::{Settled, fit_settled};
use crate::ringdown::{Residual, RingDownFit, RingDownOptions};
use crate::{Estimate, FitError};
use serde::{Deserialize, Serialize};

/// Whether the driver lets the tail ring freely.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum TailFreedom {
    /// One or two exponential decays explain the tail to within 1 %.
    Free,
    /// A line at the drive frequency is left: the driver does not stop, or another source runs on.
    CarrierLeft {
        /// Amplitude of that line over the tail's first sample.
        ratio: f64,
    },
    /// The decay is not exponential: the driver clamps or changes its resistance while the tail rings.
    NotExponential {
        /// Unexplained part, root mean square over the mode's life, relative to the mode.
        misfit: f64,
    },
}

/// Resonance and Q from the tail after the drive stops: the pole with the driver off.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TurnOffFit {
    /// The free decay.
    pub ring: RingDownFit,
    /// Whether the driver lets it ring.
    pub freedom: TailFreedom,
    /// Logarithm of the odds that the first mode is the ring and the second a key; `None` where one mode was found.
    pub ln_odds: Option<f64>,
}

/// Returns resonance and Q from the tails after the drive stops, jointly from one or more edges.
///
/// Each record starts a few samples after an edge: late costs a little accuracy, early biases Q. A line at the drive
/// frequency is fitted too if the residual without it is not noise.
///
/// # Errors
///
/// As [`fit_ring_down`](crate::fit_ring_down); a tail that dies within a cycle is [`FitError::NoRingDown`] with its numbers.
///
/// # Example
///
/// ```
/// use coilwright_coil::{Estimate, RingDownOptions, TailFreedom, fit_turn_off};
/// let tail: Vec<f32> = (0..300)
///     .map(|n| {
///         let t = f64::from(n) * 1e-6;
///         ((-30_000.0 * t).exp() * (800_000.0 * t).sin()) as f32
///     })
///     .collect();
/// let fit = fit_turn_off(&[&tail], 1e6, Estimate::new(125_000.0, 0.0), &RingDownOptions::default())?;
/// assert_eq!(fit.freedom, TailFreedom::Free);
/// assert!((fit.ring.mode.q.value - 13.343).abs() < 1e-3);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
pub fn fit_turn_off(
    records: &[&[f32]],
    sample_rate_hz: f64,
    drive_hz: Estimate,
    options: &RingDownOptions,
) -> Result<TurnOffFit, FitError> {
    let options = edge_options(drive_hz, sample_rate_hz, options)?;
    let bases = |longest| edge_models(drive_hz, sample_rate_hz, &[&[], &[1]], longest);
    let Settled { mut ring, chosen } =
        fit_settled(records, sample_rate_hz, drive_hz, &options, &bases)?;
    let freedom = freedom(&ring, chosen.refined.model.lines.len());
    let excitation = Excitation::of(drive_hz, sample_rate_hz, &options, &ring);
    let ln_odds = ring_first(&mut ring, excitation);
    Ok(TurnOffFit {
        ring,
        freedom,
        ln_odds,
    })
}

/// Misfit up to which a tail with a structured residual still counts as free: what it does to Q is of the same order.
const LARGEST_FREE_MISFIT: f64 = 0.01;

fn freedom(ring: &RingDownFit, lines: usize) -> TailFreedom {
    let left = if lines == 0 {
        0.0
    } else {
        let power = ring
            .records
            .iter()
            .filter_map(|r| r.components.last())
            .map(|c| c.amplitude * c.amplitude);
        (power.sum::<f64>() / ring.records.len() as f64).sqrt()
    };
    if ring.goodness.residual == Residual::Structured && ring.goodness.misfit > LARGEST_FREE_MISFIT
    {
        TailFreedom::NotExponential {
            misfit: ring.goodness.misfit,
        }
    } else if left > 0.0 {
        TailFreedom::CarrierLeft {
            ratio: left / ring.mode.amplitude,
        }
    } else {
        TailFreedom::Free
    }
}
