use crate::least_squares::propagate;
use crate::quantity::Positive;
use crate::response::{Fitted, PointKnowledge, fit_known};
use crate::{Estimate, FitError, ResponseFit, ResponseOptions};
use nalgebra::DVector;
use num_complex::Complex64;
use serde::{Deserialize, Serialize};

/// How the resonator was connected, and what scales the data to its own reference plane.
///
/// A scale is the reciprocal magnitude of what the line without the resonator passes or returns (A in NPL MAT 58).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Connection {
    /// One port; the line may attenuate, and the detuned resonator reflects all (method 1 of MAT 58): the data are scaled
    /// to a detuned reflection of magnitude one.
    Reflection,
    /// One port with a coupling that may be lossy; the data are scaled by a known factor (method 2), 1 if calibrated at the resonator.
    ReflectionScaled {
        /// The factor.
        scale: f64,
    },
    /// Two ports coupled alike, the peak of transmission.
    Transmission {
        /// Reciprocal of the transmission of a through line in place of the resonator.
        scale: f64,
    },
    /// A line that passes the resonator, the dip of transmission; scaled to a detuned transmission of magnitude one.
    Absorption,
}

/// A resonator measured through a port, loaded and unloaded.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CircleFit {
    /// The fitted response: loaded resonance and loaded Q.
    pub response: ResponseFit,
    /// Q of the resonator alone, its couplings taken off.
    pub unloaded_q: Estimate,
    /// Coupling factor `β = Q₀/Q_L − 1`, both ports together; 1 is critical in reflection.
    pub coupling: Estimate,
    /// Diameter of the resonance circle after scaling.
    pub diameter: Estimate,
    /// Diameter of the circle of a lossless resonator coupled alike.
    pub touching_diameter: f64,
}

/// Returns loaded and unloaded Q of a resonator from its resonance circle in reflection or transmission.
///
/// The loaded resonance and Q come from the whole complex curve; the circle's diameter tells how much of the loss is
/// the instrument's. The resonance is the undamped, loaded one.
///
/// # Errors
///
/// As [`fit_response`](crate::fit_response); a scale that is not positive; a circle larger than a passive resonator can have.
///
/// # Example
///
/// A ring of 1.62 mH, 40 Ω and 1.0007 nF in series at a 50 Ω port: `Q₀ = 31.81` alone, `Q_L = 14.14` with the port.
///
/// ```
/// use coilwright_coil::{Connection, ResponseOptions, fit_q_circle};
/// use num_complex::Complex64;
/// let frequencies_hz: Vec<f64> = (0..401).map(|n| 105e3 + 100.0 * f64::from(n)).collect();
/// let reflection: Vec<Complex64> = frequencies_hz
///     .iter()
///     .map(|f| {
///         let w = std::f64::consts::TAU * f;
///         let z = Complex64::new(40.0, w * 1.62e-3 - 1.0 / (w * 1.0007e-9));
///         (z - 50.0) / (z + 50.0)
///     })
///     .collect();
/// let fit = fit_q_circle(&frequencies_hz, &reflection, Connection::Reflection, &ResponseOptions::default())?;
/// assert!((fit.unloaded_q.value - 31.8087).abs() < 1e-3);
/// assert!((fit.response.q.value - 14.1372).abs() < 1e-3);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
///
/// # Source
///
/// A. P. Gregory, "Q-factor measurement by using a vector network analyser", NPL Report MAT 58 (2021), as described by scikit-rf's
/// `qfactor` module: diameter eq. 31, touching circle eq. 35 (derived beside the code), absorption after Gao's thesis (2008), eqs. 4.35 and 4.40.
pub fn fit_q_circle(
    frequencies_hz: &[f64],
    response: &[Complex64],
    connection: Connection,
    options: &ResponseOptions,
) -> Result<CircleFit, FitError> {
    if let Connection::ReflectionScaled { scale } | Connection::Transmission { scale } = connection
    {
        Positive::Scale.check(scale)?;
    }
    let fitted = fit_known(
        frequencies_hz,
        response,
        PointKnowledge::default(),
        *options,
    )?;
    let at = |p: &DVector<f64>| circle(&fitted, p, connection);
    let here = at(&fitted.solution.parameters);
    if here.diameter >= here.touching || here.diameter.is_nan() {
        return Err(FitError::CircleTooLarge {
            diameter: here.diameter,
            limit: here.touching,
        });
    }
    let solution = &fitted.solution;
    Ok(CircleFit {
        unloaded_q: propagate(solution, |p| p[1].exp() * at(p).unloading()),
        coupling: propagate(solution, |p| at(p).unloading() - 1.0),
        diameter: propagate(solution, |p| at(p).diameter),
        touching_diameter: here.touching,
        response: fitted.report(),
    })
}

/// The scaled resonance circle.
struct Circle {
    diameter: f64,
    touching: f64,
}

impl Circle {
    /// `Q₀/Q_L = 1/(1 − d/D)`: the circle of a lossless resonator touches the unit circle (D), that of an uncoupled one vanishes.
    ///
    /// In reflection `β = 1/(D/d − 1)` and `Q₀ = Q_L(1 + β)`, which is the same.
    fn unloading(&self) -> f64 {
        (1.0 - self.diameter / self.touching).recip()
    }
}

fn circle(fitted: &Fitted<'_>, parameters: &DVector<f64>, connection: Connection) -> Circle {
    let resonant = fitted.model.resonance(parameters);
    let detuned = fitted.model.background(parameters, parameters[0].exp());
    let relative = resonant.norm() / detuned.norm().max(f64::MIN_POSITIVE);
    match connection {
        Connection::Reflection => Circle {
            diameter: relative,
            touching: 2.0,
        },
        Connection::Absorption => Circle {
            diameter: relative,
            touching: 1.0,
        },
        Connection::Transmission { scale } => Circle {
            diameter: scale * resonant.norm(),
            touching: 1.0,
        },
        Connection::ReflectionScaled { scale } => Circle {
            diameter: scale * resonant.norm(),
            touching: touching_diameter(scale * detuned, resonant),
        },
    }
}

/// Diameter of the circle through the detuned point that touches the unit circle from inside, its centre in the direction of
/// the resonance.
///
/// With the unit vector `u` along the diameter, the centre is `S + uD/2`; touching means `|S + uD/2| + D/2 = 1`, so
/// `|S|² + D(1 + S·u) = 1` and `D = (1 − |S|²)/(1 + S·u)`. For a detuned reflection of magnitude one this is 0/0 → 2 where
/// the circle points at the centre.
fn touching_diameter(detuned: Complex64, resonant: Complex64) -> f64 {
    let along = (detuned.conj() * resonant).re / resonant.norm().max(f64::MIN_POSITIVE);
    (1.0 - detuned.norm_sqr()) / (1.0 + along)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_touching_circle_touches() {
        let (detuned, resonant) = (Complex64::new(0.3, -0.7), Complex64::from_polar(0.2, 1.9));
        let diameter = touching_diameter(detuned, resonant);
        let centre = detuned + resonant / resonant.norm() * (0.5 * diameter);
        assert!((centre.norm() + 0.5 * diameter - 1.0).abs() < 1e-12);
    }
}
