use crate::quantity::Positive;
use crate::{Estimate, FitError};
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// Change of copper's resistance with temperature, per kelvin at 20 °C (from memory; NBS Handbook 100 has a table).
const COPPER_PER_KELVIN: f64 = 0.00393;
/// Temperature to which resistances are referred, degrees Celsius.
const REFERENCE_CELSIUS: f64 = 20.0;

/// What an ohmmeter showed across a coil that is disconnected from its circuit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Reading {
    /// Beyond the meter's range: the highest resistance that it would have shown, ohm.
    OverRange {
        /// End of the range.
        range_ohm: f64,
    },
    /// A number and the meter's uncertainty (one standard deviation), ohm.
    Shown {
        /// The reading.
        resistance_ohm: Estimate,
    },
}

/// How the reading was taken.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OhmmeterReading {
    /// What the meter showed.
    pub reading: Reading,
    /// Resistance of the leads, taken off: the reading with the tips together, ohm.
    pub leads_ohm: Estimate,
    /// Temperature of the winding, degrees Celsius.
    pub temperature_celsius: Estimate,
}

/// What a reading says about a coil.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
#[non_exhaustive]
pub enum OhmmeterEvidence {
    /// No current flows: a broken wire or joint, or the meter was not connected. A capacitor in series shows the same.
    Open {
        /// The resistance is above this, ohm.
        above_ohm: f64,
    },
    /// A resistance that cannot be told from the leads: shorted terminals, or a winding of few thick turns.
    Shorted {
        /// What is left after the leads are taken off, ohm.
        resistance_ohm: Estimate,
    },
    /// A winding.
    Winding {
        /// Direct-current resistance at 20 °C, ohm.
        at_20_celsius_ohm: Estimate,
        /// The same over the reference's, if there is one.
        ratio: Option<Estimate>,
        /// Part of the winding that a galvanic short bridges, `1 − ratio`, if the wire is the same; negative means more wire or a poor joint.
        bridged: Option<Estimate>,
    },
}

/// Returns what an ohmmeter reading says, at 20 °C and against a reference of the same design if there is one.
///
/// Direct current sees wire only: it parts an open from a shorted winding, which a capture cannot, but not a shorted turn from a
/// sound coil within the temperature's uncertainty (0.39 % per kelvin), and nothing of metal or of capacitors.
///
/// # Errors
///
/// [`FitError::NotPositive`] for a range or a reference that is not positive, or deviations or temperatures that are no number.
///
/// ```
/// use coilwright_coil::{Estimate, OhmmeterEvidence, OhmmeterReading, Reading, ohmmeter_evidence};
/// let reading = OhmmeterReading {
///     reading: Reading::Shown { resistance_ohm: Estimate::new(9.50, 0.02) },
///     leads_ohm: Estimate::new(0.20, 0.01),
///     temperature_celsius: Estimate::new(20.0, 1.0),
/// };
/// let OhmmeterEvidence::Winding { ratio: Some(ratio), .. } =
///     ohmmeter_evidence(&reading, Some(Estimate::new(10.0, 0.01)))? else { panic!() };
/// assert!((ratio.value - 0.93).abs() < 1e-12 && ratio.std_dev < 0.006);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
pub fn ohmmeter_evidence(
    reading: &OhmmeterReading,
    reference_at_20_celsius_ohm: Option<Estimate>,
) -> Result<OhmmeterEvidence, FitError> {
    let shown = match reading.reading {
        Reading::OverRange { range_ohm } => {
            Positive::Resistance.check(range_ohm)?;
            return Ok(OhmmeterEvidence::Open {
                above_ohm: range_ohm,
            });
        }
        Reading::Shown { resistance_ohm } => resistance_ohm,
    };
    let net = Estimate::new(
        shown.value - reading.leads_ohm.value,
        shown.std_dev.hypot(reading.leads_ohm.std_dev),
    );
    let finite = [
        net.value,
        net.std_dev,
        reading.temperature_celsius.value,
        reading.temperature_celsius.std_dev,
    ];
    if let Some(&found) = finite.iter().find(|v| !v.is_finite()) {
        return Err(FitError::NotPositive {
            quantity: Positive::Resistance,
            found,
        });
    }
    if net.value < 3.0 * net.std_dev {
        return Ok(OhmmeterEvidence::Shorted {
            resistance_ohm: net,
        });
    }
    let at_20_celsius_ohm = at_20_celsius(net, reading.temperature_celsius)?;
    let ratio = match reference_at_20_celsius_ohm {
        Some(reference) => {
            Positive::Resistance.check(reference.value)?;
            Some(quotient(at_20_celsius_ohm, reference))
        }
        None => None,
    };
    Ok(OhmmeterEvidence::Winding {
        at_20_celsius_ohm,
        ratio,
        bridged: ratio.map(|r| Estimate::new(1.0 - r.value, r.std_dev)),
    })
}

/// Returns the highest Q that a coil of this inductance and direct-current resistance can have at a frequency: `ωL/R_dc`.
///
/// Alternating current only adds losses, so a measured Q above it (by more than the uncertainties) is a wrong measurement.
///
/// ```
/// use coilwright_coil::{Estimate, highest_q};
/// let q = highest_q(125e3, Estimate::new(1e-3, 0.0), Estimate::new(10.0, 0.1));
/// assert!((q.value - 78.54).abs() < 0.01 && (q.std_dev - 0.785).abs() < 1e-3);
/// ```
#[must_use]
pub fn highest_q(
    frequency_hz: f64,
    inductance_henry: Estimate,
    direct_current_ohm: Estimate,
) -> Estimate {
    let ratio = quotient(inductance_henry, direct_current_ohm);
    let omega = TAU * frequency_hz;
    Estimate::new(omega * ratio.value, omega * ratio.std_dev)
}

fn at_20_celsius(resistance: Estimate, celsius: Estimate) -> Result<Estimate, FitError> {
    let factor = 1.0 + COPPER_PER_KELVIN * (celsius.value - REFERENCE_CELSIUS);
    Positive::Scale.check(factor)?;
    Ok(quotient(
        resistance,
        Estimate::new(factor, COPPER_PER_KELVIN * celsius.std_dev),
    ))
}

fn quotient(above: Estimate, below: Estimate) -> Estimate {
    let value = above.value / below.value;
    let relative = (below.std_dev / below.value).abs();
    Estimate::new(value, (above.std_dev / below.value).hypot(value * relative))
}
