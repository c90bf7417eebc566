use super::SweepShape;
use crate::{Estimate, ResidualTest};
use serde::{Deserialize, Serialize};

/// A resonance in a sweep of amplitudes: loaded values.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SweepFit {
    /// Undamped resonance of the pole pair, loaded, hertz. The highest point of the curve lies elsewhere unless it is a plain peak of [`Quantity::Current`](crate::Quantity).
    pub resonance_hz: Estimate,
    /// Loaded `Q = ω₀/2α`.
    pub q: Estimate,
    /// Covariance of the two, hertz.
    pub covariance_hz: f64,
    /// What the curve shows.
    pub shape: SweepShape,
    /// Whether a background that rises or falls with frequency was needed.
    pub background_slopes: bool,
    /// The fitted amplitude at each frequency, in the data's unit.
    pub curve: Vec<f64>,
    /// What the residuals look like.
    pub residual: ResidualTest,
    /// Sum of the squared residuals.
    pub residual_squares: f64,
    /// Points less fitted parameters.
    pub degrees_of_freedom: f64,
}
