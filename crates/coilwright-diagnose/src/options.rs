use crate::CheckError;
use crate::result::SignalKind;

/// What the user may decide before a check.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CheckOptions {
    /// Nominal carrier in hertz; decided from the capture (125 kHz or 134.2 kHz) where `None`.
    pub nominal_hz: Option<f64>,
    /// Kind of signal; decided from the capture where `None`.
    pub signal_kind: Option<SignalKind>,
    /// About where the ring of a ring-down capture resonates, in hertz: it decides the zone in which a slow recorder's
    /// samples are read. The nominal carrier where `None`.
    pub ring_near_hz: Option<f64>,
}

/// Lowest nominal carrier that is accepted, in hertz.
const LOWEST_NOMINAL_HZ: f64 = 50e3;
/// Highest nominal carrier that is accepted, in hertz.
const HIGHEST_NOMINAL_HZ: f64 = 300e3;

impl CheckOptions {
    /// Whether the options make sense.
    ///
    /// # Errors
    /// When the nominal carrier is out of range.
    pub(crate) fn validate(&self) -> Result<(), CheckError> {
        match self.nominal_hz {
            Some(nominal_hz) if !(LOWEST_NOMINAL_HZ..=HIGHEST_NOMINAL_HZ).contains(&nominal_hz) => {
                Err(CheckError::NominalOutOfRange {
                    nominal_hz,
                    low_hz: LOWEST_NOMINAL_HZ,
                    high_hz: HIGHEST_NOMINAL_HZ,
                })
            }
            _ => Ok(()),
        }
    }
}
