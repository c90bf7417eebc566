use crate::FitError;
use crate::quantity::Positive;
use num_complex::Complex64;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// Which two-element circuit an impedance meter shows L and Q for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Equivalent {
    /// L in series with R: `Q = ωL/R`. The usual choice for coils.
    #[default]
    Series,
    /// L in parallel with R: `Q = R/ωL`.
    Parallel,
}

/// L and Q at one frequency, as a meter shows them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Spot {
    /// Frequency, hertz.
    pub frequency_hz: f64,
    /// Inductance, henry.
    pub inductance_henry: f64,
    /// Quality factor.
    pub q: f64,
}

/// Returns the impedances of L and Q at spot frequencies, ohm, for [`fit_coil`](crate::fit_coil).
///
/// # Errors
///
/// [`FitError::NotPositive`] for a frequency, an inductance or a Q that is not positive.
///
/// ```
/// use coilwright_coil::{Equivalent, Spot, spot_impedances};
/// let spot = Spot { frequency_hz: 125e3, inductance_henry: 1e-3, q: 50.0 };
/// let series = spot_impedances(&[spot], Equivalent::Series)?[0];
/// assert!((series.im / series.re - 50.0).abs() < 1e-9);
/// let parallel = spot_impedances(&[spot], Equivalent::Parallel)?[0];
/// // L_s = L_p/(1 + 1/Q²)
/// assert!((parallel.im / series.im - 1.0 / 1.0004).abs() < 1e-9);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
pub fn spot_impedances(spots: &[Spot], equivalent: Equivalent) -> Result<Vec<Complex64>, FitError> {
    spots
        .iter()
        .map(|spot| {
            Positive::Frequency.check(spot.frequency_hz)?;
            Positive::Inductance.check(spot.inductance_henry)?;
            Positive::Q.check(spot.q)?;
            let reactance = TAU * spot.frequency_hz * spot.inductance_henry;
            Ok(match equivalent {
                Equivalent::Series => Complex64::new(reactance / spot.q, reactance),
                Equivalent::Parallel => {
                    let resistance = reactance * spot.q;
                    Complex64::new(1.0 / resistance, -1.0 / reactance).inv()
                }
            })
        })
        .collect()
}
