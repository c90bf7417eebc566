use std::path::Path;

use coilwright_coil::{Estimate, OhmmeterEvidence, OhmmeterReading, Reading, ohmmeter_evidence};

use super::Sheet;
use super::measure::unfitted;
use crate::coil_args::{OhmmeterArgs, Ohms};
use crate::error::CommandError;

/// What stands in place of a file's name.
pub(crate) const NAME: &str = "ohmmeter";
/// What a hand-held ohmmeter and its leads are uncertain by (common practice, no source): 0.5 % and 50 mΩ.
const PART: f64 = 0.005;
const LEADS_OHM: f64 = 0.05;
/// What a room's temperature is known to, degrees Celsius.
const ROOM: Estimate = Estimate::new(20.0, 5.0);
/// What a temperature that was measured is known to, kelvin (common practice, no source).
const THERMOMETER: f64 = 1.0;
/// Where usual ohmmeters end, ohm.
const RANGE_OHM: f64 = 20e6;

/// What an ohmmeter showed, and what it says.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Meter {
    /// Of the coil.
    pub(crate) reading: Option<OhmmeterReading>,
    /// The same as evidence.
    pub(crate) evidence: Option<OhmmeterEvidence>,
    /// Resistance of the sound coil at 20 °C, ohm.
    pub(crate) good_ohm: Option<Estimate>,
}

impl Meter {
    /// As the arguments say.
    pub(crate) fn of(arguments: OhmmeterArgs) -> Result<Self, CommandError> {
        let how = How {
            // What the meter shows of its leads is uncertain in its part only: the rest is in the reading that they are taken off.
            leads_ohm: arguments.leads.map_or(Estimate::new(0.0, 0.0), |ohm| {
                Estimate::new(ohm, PART * ohm)
            }),
            celsius: arguments
                .temperature
                .map_or(ROOM, |celsius| Estimate::new(celsius, THERMOMETER)),
        };
        let reading = arguments.ohms.map(|ohms| how.reading(ohms));
        let evidence = reading.as_ref().map(evidence).transpose()?;
        let good_ohm = arguments.good_ohms.map(|ohm| how.good(ohm)).transpose()?;
        Ok(Self {
            reading,
            evidence,
            good_ohm,
        })
    }

    /// The reading as a sheet of its own.
    pub(crate) fn sheet(&self) -> Sheet {
        let method = "Direct current across the coil alone.";
        let mut sheet = Sheet::new("ohmmeter", NAME.to_owned(), method);
        match self.evidence {
            Some(OhmmeterEvidence::Winding {
                at_20_celsius_ohm, ..
            }) => {
                sheet.measured("direct_ohm", "resistance at 20 °C", "Ω", at_20_celsius_ohm);
                if self.good_ohm.is_none() {
                    sheet.notes.push("A path through wire: neither open nor shorted at the terminals. What a sound coil shows, as --good-ohms, says more.".to_owned());
                }
            }
            Some(OhmmeterEvidence::Shorted { resistance_ohm }) => {
                let name = "left after the leads";
                sheet.measured("residual_ohm", name, "Ω", resistance_ohm);
            }
            _ => {}
        }
        sheet
    }
}

fn evidence(reading: &OhmmeterReading) -> Result<OhmmeterEvidence, CommandError> {
    ohmmeter_evidence(reading, None).map_err(|source| unfitted(Path::new(NAME), source))
}

/// How readings are taken.
struct How {
    leads_ohm: Estimate,
    celsius: Estimate,
}

impl How {
    fn reading(&self, ohms: Ohms) -> OhmmeterReading {
        OhmmeterReading {
            reading: match ohms {
                Ohms::Open => Reading::OverRange {
                    range_ohm: RANGE_OHM,
                },
                Ohms::Shown(ohm) => Reading::Shown {
                    resistance_ohm: Estimate::new(ohm, PART * ohm + LEADS_OHM),
                },
            },
            leads_ohm: self.leads_ohm,
            temperature_celsius: self.celsius,
        }
    }

    /// A sound coil's resistance; what the temperature is uncertain by counts in the other reading.
    fn good(&self, ohm: f64) -> Result<Estimate, CommandError> {
        let same = OhmmeterReading {
            temperature_celsius: Estimate::new(self.celsius.value, 0.0),
            ..self.reading(Ohms::Shown(ohm))
        };
        match evidence(&same)? {
            OhmmeterEvidence::Winding {
                at_20_celsius_ohm, ..
            } => Ok(at_20_celsius_ohm),
            _ => Err(CommandError::GoodOhmsTooSmall { found_ohm: ohm }),
        }
    }
}
