//! A diode envelope detector before a slow recorder.

use serde::{Deserialize, Serialize};

use crate::SimulateError;
use crate::error::{require_not_negative, require_positive};

/// A diode that charges a capacitor, which a resistor discharges.
///
/// `dv/dt = (u − drop − v)/charge` while the diode conducts (`u − drop > v`), and always `−v/discharge`; stepped with
/// the input held over a sample, so it wants some ten samples a cycle of the carrier.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Detector {
    /// Forward voltage of the diode.
    pub drop_volt: f64,
    /// Time constant of charging through diode and source.
    pub charge_s: f64,
    /// Time constant of discharging.
    pub discharge_s: f64,
}

impl Detector {
    /// Checks the values.
    ///
    /// # Errors
    /// [`SimulateError::InvalidValue`] for the first value that makes no sense.
    pub fn validate(&self) -> Result<(), SimulateError> {
        require_not_negative("detector.drop_volt", self.drop_volt)?;
        require_positive("detector.charge_s", self.charge_s)?;
        require_positive("detector.discharge_s", self.discharge_s)
    }

    /// Replaces the voltage of the pickup by that of the capacitor.
    pub fn apply(&self, samples: &mut [f64], sample_rate_hz: f64) {
        let interval_s = sample_rate_hz.recip();
        let discharge_rate = self.discharge_s.recip();
        let charge_rate = self.charge_s.recip() + discharge_rate;
        let discharge = (-interval_s * discharge_rate).exp();
        let charge = (-interval_s * charge_rate).exp();
        // Charging settles where the currents of diode and resistor are equal.
        let settled = self.charge_s.recip() / charge_rate;
        let mut volt = 0.0_f64;
        for sample in samples {
            let ahead_volt = *sample - self.drop_volt;
            volt = if ahead_volt > volt {
                let goal_volt = ahead_volt * settled;
                goal_volt + (volt - goal_volt) * charge
            } else {
                volt * discharge
            };
            *sample = volt;
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;

    #[test]
    fn follows_the_envelope_less_the_drop() {
        let rate_hz = 4e6;
        let envelope = |time_s: f64| 1.0 + 0.2 * (TAU * 500.0 * time_s).sin();
        let mut samples: Vec<f64> = (0..40_000)
            .map(|n| {
                let time_s = f64::from(n) / rate_hz;
                envelope(time_s) * (TAU * 125e3 * time_s).sin()
            })
            .collect();
        let detector = Detector {
            drop_volt: 0.3,
            charge_s: 0.2e-6,
            discharge_s: 100e-6,
        };
        detector.apply(&mut samples, rate_hz);
        for (n, volt) in samples.iter().enumerate().skip(2_000) {
            let expected = envelope(n as f64 / rate_hz) - 0.3;
            // A cycle of 8 µs against 100 µs: a ripple of 8 % below, and the charging never quite reaches the top.
            assert!(
                (0.88 * expected..1.01 * expected).contains(volt),
                "{n}: {volt} {expected}"
            );
        }
    }
}
