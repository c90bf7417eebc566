use serde::Serialize;

/// What to mind with a pickup coil.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
#[non_exhaustive]
pub enum Caution {
    /// The coil rings near the carrier.
    ResonanceNearCarrier {
        /// Its own resonance.
        resonance_hz: f64,
        /// What it should be at least.
        least_hz: f64,
    },
    /// The carrier may overdrive the input.
    InputOverdriven {
        /// Expected peak voltage.
        expected_peak_volt: f64,
        /// What the input takes.
        full_scale_peak_volt: f64,
    },
    /// The signal may drown in the input's noise.
    Weak {
        /// Expected peak voltage.
        expected_peak_volt: f64,
        /// What it should be at least.
        least_volt: f64,
    },
    /// A driven ring holds a high voltage.
    DrivenRing,
    /// Restraint systems lie near steering columns.
    RestraintSystem,
    /// Fields and implants.
    Implants,
    /// Metal near the coil changes what it hears.
    MetalNear,
}

impl std::fmt::Display for Caution {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match *self {
            Self::ResonanceNearCarrier {
                resonance_hz,
                least_hz,
            } => write!(
                f,
                "the coil rings at {:.0} kHz, at least {:.0} kHz are wanted: fewer turns, a shorter cable or a probe of less capacitance",
                1e-3 * resonance_hz,
                1e-3 * least_hz
            ),
            Self::InputOverdriven {
                expected_peak_volt,
                full_scale_peak_volt,
            } => write!(
                f,
                "about {expected_peak_volt:.2} V peak are expected and the input takes {full_scale_peak_volt:.2} V: start from further away, or use a divider"
            ),
            Self::Weak {
                expected_peak_volt,
                least_volt,
            } => write!(
                f,
                "about {:.2} mV peak are expected, {:.0} mV are wanted: more turns, a larger former, or nearer to the ring",
                1e3 * expected_peak_volt,
                1e3 * least_volt
            ),
            Self::DrivenRing => f.write_str(
                "a driven ring holds hundreds of volts: hold the pickup coil beside it, touch and clip nothing to it",
            ),
            Self::RestraintSystem => f.write_str(
                "a steering column may hold an airbag: make the restraint system safe by the maker's procedure first, and put no ohmmeter on it",
            ),
            Self::Implants => f.write_str(
                "people with a pacemaker or another implant keep away from driven rings: ask the implant's maker or the physician",
            ),
            Self::MetalNear => f.write_str(
                "keep the coil and its leads off metal: metal lowers what it hears and shifts its resonance",
            ),
        }
    }
}
