use coilwright_coil::condition::{
    CoilEvidence, CoilNumbers, CoilVerdict, Ringing, Standard, judge_coil,
};
use coilwright_coil::{Estimate, FitError, OhmmeterReading, Reading};

use super::{Held, Sheet};
use crate::coil_args::{OhmmeterArgs, Ohms};

/// What a hand-held ohmmeter and its leads are uncertain by (common practice, no source): 0.5 % and 50 mΩ.
const METER: (f64, f64) = (0.005, 0.05);
/// What a room's temperature is known to, degrees Celsius.
const ROOM: Estimate = Estimate::new(20.0, 5.0);
/// Where usual ohmmeters end, ohm.
const RANGE_OHM: f64 = 20e6;

/// Judges a coil against a sound one that was measured alike, a design or limits.
pub(crate) fn judge(
    sheet: &Sheet,
    held: &Held,
    arguments: OhmmeterArgs,
    turns: Option<f64>,
) -> Result<CoilVerdict, FitError> {
    let meter = |ohm: f64| Estimate::new(ohm, METER.0 * ohm + METER.1);
    let ohmmeter = arguments.ohms.map(|ohms| OhmmeterReading {
        reading: match ohms {
            Ohms::Open => Reading::OverRange {
                range_ohm: RANGE_OHM,
            },
            Ohms::Shown(ohm) => Reading::Shown {
                resistance_ohm: meter(ohm),
            },
        },
        leads_ohm: Estimate::new(0.0, 0.0),
        temperature_celsius: ROOM,
    });
    let evidence = CoilEvidence {
        numbers: numbers(sheet),
        ohmmeter,
        ringing: if sheet.silent {
            Ringing::NoneSeen
        } else {
            Ringing::NotTried
        },
    };
    let standard = match held {
        Held::Good(good) => Standard::Reference(CoilNumbers {
            direct_ohm: arguments.good_ohms.map(meter),
            ..numbers(good)
        }),
        Held::Stated(standard) => **standard,
    };
    judge_coil(&evidence, &standard, turns)
}

fn numbers(sheet: &Sheet) -> CoilNumbers {
    let positive = |key| sheet.estimate(key).filter(|e| e.value > 0.0);
    CoilNumbers {
        resonance_hz: positive("resonance_hz"),
        q: positive("q").filter(|_| sheet.estimate("resonance_hz").is_some()),
        inductance_henry: positive("inductance_henry"),
        resistance_ohm: positive("resistance_ohm"),
        capacitance_farad: positive("capacitance_farad"),
        direct_ohm: None,
    }
}
