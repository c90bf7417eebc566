use super::number::{COUNT, Number};
use crate::quantity::Positive;
use crate::{Estimate, FitError, OhmmeterReading};
use serde::{Deserialize, Serialize};

/// What is known of a coil; every number may be missing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct CoilNumbers {
    /// Undamped resonance with its capacitor, hertz.
    pub resonance_hz: Option<Estimate>,
    /// Q at the resonance, loaded or unloaded, but like the standard's.
    pub q: Option<Estimate>,
    /// Inductance near the working frequency, henry.
    pub inductance_henry: Option<Estimate>,
    /// Series resistance at the working frequency, ohm.
    pub resistance_ohm: Option<Estimate>,
    /// Capacitance, farad.
    pub capacitance_farad: Option<Estimate>,
    /// Direct-current resistance at 20 °C, ohm.
    pub direct_ohm: Option<Estimate>,
}

impl CoilNumbers {
    /// The numbers in the order of [`Number::ALL`].
    #[must_use]
    pub const fn all(&self) -> [Option<Estimate>; COUNT] {
        [
            self.resonance_hz,
            self.q,
            self.inductance_henry,
            self.resistance_ohm,
            self.capacitance_farad,
            self.direct_ohm,
        ]
    }

    /// One number.
    #[must_use]
    pub fn get(&self, number: Number) -> Option<Estimate> {
        self.all()
            .into_iter()
            .zip(Number::ALL)
            .find_map(|(value, n)| value.filter(|_| n == number))
    }

    pub(super) fn check(&self) -> Result<(), FitError> {
        for (estimate, number) in self.all().into_iter().zip(Number::ALL) {
            let Some(estimate) = estimate else { continue };
            let quantity = match number {
                Number::Resonance => Positive::Frequency,
                Number::Q => Positive::Q,
                Number::Inductance => Positive::Inductance,
                Number::Resistance | Number::DirectResistance => Positive::Resistance,
                Number::Capacitance => Positive::Capacitance,
            };
            quantity.check(estimate.value)?;
            if !(estimate.std_dev >= 0.0 && estimate.std_dev.is_finite()) {
                return Err(FitError::NotPositive {
                    quantity: Positive::Deviation,
                    found: estimate.std_dev,
                });
            }
        }
        Ok(())
    }
}

/// Whether a ring-down or a resonance was looked for, and seen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ringing {
    /// Nobody looked.
    #[default]
    NotTried,
    /// It rings.
    Seen,
    /// It was excited and nothing rings.
    NoneSeen,
}

/// All that was measured on a coil.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct CoilEvidence {
    /// Numbers; the direct-current resistance is better given as a reading.
    pub numbers: CoilNumbers,
    /// What an ohmmeter showed on the coil without its capacitor.
    pub ohmmeter: Option<OhmmeterReading>,
    /// Whether impedance or reflection showed the capacitance of leads and no conduction: [`FitError::OpenCircuit`].
    #[serde(default)]
    pub open_circuit: bool,
    /// Whether it rings.
    pub ringing: Ringing,
}
