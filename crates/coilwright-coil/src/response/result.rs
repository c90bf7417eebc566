use super::Background;
use crate::{Estimate, ResidualTest};
use num_complex::Complex64;
use serde::{Deserialize, Serialize};

/// A resonance in a complex response, with all that was connected: loaded values.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ResponseFit {
    /// Undamped resonance `f₀ = |p|/2π` of the pole pair, loaded, hertz.
    pub resonance_hz: Estimate,
    /// Loaded `Q = |p|/2α`.
    pub q: Estimate,
    /// Covariance of the two, hertz.
    pub covariance_hz: f64,
    /// Damped frequency `f₀ √(1 − 1/4Q²)`, hertz; equal to `f₀` at Q of one half and less, where nothing rings.
    pub damped_hz: Estimate,
    /// Coefficient `a`: what the resonance adds at `f₀`, with the line's phase taken out.
    pub resonant: Complex64,
    /// Background `b` at `f₀`: the detuned response, with the line's phase taken out.
    pub detuned: Complex64,
    /// Which background was fitted.
    pub background: Background,
    /// Delay of the line as it turns the phase, seconds (twice the one-way delay in reflection); zero unless it was fitted.
    pub delay_s: Estimate,
    /// The fitted curve at each frequency.
    pub curve: Vec<Complex64>,
    /// What the residuals look like.
    pub residual: ResidualTest,
    /// Sum of the squared residuals of real and imaginary parts.
    pub residual_squares: f64,
    /// Real numbers less fitted parameters.
    pub degrees_of_freedom: f64,
}
