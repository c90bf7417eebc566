use super::TransferPoint;
use crate::response::{PointKnowledge, fit_known};
use crate::{FitError, ResponseFit, ResponseOptions};
use num_complex::Complex64;
use serde::{Deserialize, Serialize};

/// Least coherence at the best point.
const LEAST_COHERENCE: f64 = 0.5;
/// Widest point in line widths `f₀/Q` over which the mean of the curve is taken from three frequencies.
const WIDEST_POINT: f64 = 0.5;

/// A resonance from an injected signal: loaded values.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct InjectionFit {
    /// The fitted transfer function. Its residuals are in standard deviations of the points, up to a common factor.
    pub response: ResponseFit,
    /// Largest coherence of a point.
    pub best_coherence: f64,
    /// Distance of the points over the line width `f₀/Q`.
    pub resolution_widths: f64,
    /// Whether that distance is too wide for the mean over a point to be told: then Q may be off; record longer or ask for a finer resolution.
    pub blurred: bool,
}

/// Returns resonance and Q from a transfer function, each point weighted by its noise.
///
/// The fitted curve is averaged over each point's frequencies as the point was, so that the points' width does not lower Q.
/// The pole is that of the ring with all that is near it and with the injecting coil: undamped resonance, loaded Q.
///
/// # Errors
///
/// As [`fit_response`](crate::fit_response); [`FitError::Incoherent`] if the pickup does not follow the stimulus.
pub fn fit_injection(
    points: &[TransferPoint],
    options: &ResponseOptions,
) -> Result<InjectionFit, FitError> {
    let frequencies_hz: Vec<f64> = points.iter().map(|p| p.frequency_hz).collect();
    let response: Vec<Complex64> = points.iter().map(|p| p.response).collect();
    let noise: Vec<f64> = points
        .iter()
        .map(|p| p.std_dev.max(f64::MIN_POSITIVE))
        .collect();
    let best_coherence = points.iter().map(|p| p.coherence).fold(0.0, f64::max);
    if best_coherence < LEAST_COHERENCE {
        return Err(FitError::Incoherent {
            coherence: best_coherence,
            needed: LEAST_COHERENCE,
            low_hz: frequencies_hz.first().copied().unwrap_or(0.0),
            high_hz: frequencies_hz.last().copied().unwrap_or(0.0),
        });
    }
    let spread_hz: Vec<f64> = points.iter().map(|p| p.spread_hz).collect();
    let known = PointKnowledge {
        noise: Some(&noise),
        spread_hz: Some(&spread_hz),
    };
    let response = fit_known(&frequencies_hz, &response, known, *options)?.report();
    let spacing = frequencies_hz
        .windows(2)
        .map(|pair| pair[1] - pair[0])
        .fold(f64::INFINITY, f64::min);
    let resolution_widths = spacing * response.q.value / response.resonance_hz.value;
    Ok(InjectionFit {
        best_coherence,
        resolution_widths,
        blurred: resolution_widths > WIDEST_POINT,
        response,
    })
}
