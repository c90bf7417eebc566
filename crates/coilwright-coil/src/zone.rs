use serde::{Deserialize, Serialize};

/// Where an apparent frequency of an undersampled record really lies.
///
/// `true = offset_hz + apparent`, or `offset_hz − apparent` if the spectrum is inverted. The offset is a whole
/// multiple of the sample rate: 125 kHz sampled at 192 kS/s is seen at 67 kHz, in the zone `{192 000, inverted}`.
///
/// ```
/// use coilwright_coil::Zone;
/// let zone = Zone::containing(125_000.0, 192_000.0);
/// assert!(zone.inverted);
/// assert_eq!(zone.apparent_hz(125_000.0), 67_000.0);
/// assert_eq!(zone.true_hz(67_000.0), 125_000.0);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Zone {
    /// Multiple of the sample rate that the zone is counted from, hertz.
    pub offset_hz: f64,
    /// Whether the spectrum runs backwards in this zone.
    pub inverted: bool,
}

impl Zone {
    /// The zone that holds `frequency_hz` at a sample rate.
    #[must_use]
    pub fn containing(frequency_hz: f64, sample_rate_hz: f64) -> Self {
        let offset_hz = (frequency_hz / sample_rate_hz).round() * sample_rate_hz;
        Self {
            offset_hz,
            inverted: frequency_hz < offset_hz,
        }
    }

    /// The true frequency of what is seen at `apparent_hz`.
    #[must_use]
    pub fn true_hz(self, apparent_hz: f64) -> f64 {
        if self.inverted {
            self.offset_hz - apparent_hz
        } else {
            self.offset_hz + apparent_hz
        }
    }

    /// Where a true frequency of this zone is seen.
    #[must_use]
    pub fn apparent_hz(self, true_hz: f64) -> f64 {
        if self.inverted {
            self.offset_hz - true_hz
        } else {
            true_hz - self.offset_hz
        }
    }
}
