use coilwright_coil::condition::{
    CoilEvidence, CoilNumbers, Number, Ringing, Standard, judge_coil,
};
use coilwright_coil::{Estimate, FitError, OhmmeterReading, Reading};

use super::{Held, Sheet};
use crate::coil_args::{Key, OhmmeterArgs, Ohms};

/// What a hand-held ohmmeter and its leads are uncertain by (common practice, no source): 0.5 % and 50 mΩ.
const METER: (f64, f64) = (0.005, 0.05);
/// What a room's temperature is known to, degrees Celsius.
const ROOM: Estimate = Estimate::new(20.0, 5.0);
/// Where usual ohmmeters end, ohm.
const RANGE_OHM: f64 = 20e6;

/// Judges a coil against a sound one that was measured alike, a design or limits; says what of them could not be used, and gives no verdict where
/// that is all of them.
pub(crate) fn judge(
    sheet: &mut Sheet,
    held: &Held,
    arguments: OhmmeterArgs,
    turns: Option<f64>,
) -> Result<(), FitError> {
    let (standard, given) = standard(held, arguments);
    let evidence = CoilEvidence {
        numbers: numbers(sheet, &given, held),
        ohmmeter: arguments.ohms.map(reading),
        ringing: ringing(sheet, &standard),
    };
    let silent = evidence.ringing == Ringing::NoneSeen;
    let has = |number: &Number| match number {
        // What does not ring has neither, and is judged by that.
        Number::Resonance | Number::Q if silent => true,
        Number::DirectResistance if evidence.ohmmeter.is_some() => true,
        _ => evidence.numbers.get(*number).is_some(),
    };
    let (used, unused): (Vec<Number>, Vec<Number>) = given.into_iter().partition(has);
    if used.is_empty() && !silent && evidence.ohmmeter.is_none() {
        let found: Vec<Number> = Number::ALL.into_iter().filter(has).collect();
        sheet.notes.insert(0, nothing(&unused, &found));
        return Ok(());
    }
    sheet.verdict = Some(judge_coil(&evidence, &standard, turns)?);
    if !unused.is_empty() {
        let text = format!(
            "Not judged, since it was not measured here: {}.{}",
            listed(&unused),
            advice(&unused)
        );
        sheet.notes.insert(0, text);
    }
    Ok(())
}

/// The standard, and the numbers that it was given by.
fn standard(held: &Held, arguments: OhmmeterArgs) -> (Standard, Vec<Number>) {
    match held {
        Held::Good(good) => {
            let numbers = CoilNumbers {
                direct_ohm: arguments.good_ohms.map(meter),
                ..numbers(good, &[], held)
            };
            let known = |number: &Number| numbers.get(*number).is_some();
            let given = Number::ALL.into_iter().filter(known).collect();
            (Standard::Reference(numbers), given)
        }
        Held::Stated(standard, given) => (**standard, given.clone()),
    }
}

fn meter(ohm: f64) -> Estimate {
    Estimate::new(ohm, METER.0 * ohm + METER.1)
}

fn reading(ohms: Ohms) -> OhmmeterReading {
    OhmmeterReading {
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
    }
}

/// A tapped coil that does not ring, or a sweep over the sound coil's resonance in which no coil is left.
fn ringing(sheet: &Sheet, standard: &Standard) -> Ringing {
    let resonance_hz = match standard {
        Standard::Reference(numbers) => numbers.resonance_hz.map(|f| f.value),
        Standard::Limits(limits) => limits.resonance_hz.map(|r| (r.low * r.high).sqrt()),
        Standard::Design(_) => None,
    };
    let swept = sheet.swept_hz.zip(resonance_hz);
    let over = swept.is_some_and(|((low, high), hz)| (low..=high).contains(&hz));
    if sheet.silent || (over && sheet.numbers.is_empty()) {
        Ringing::NoneSeen
    } else {
        Ringing::NotTried
    }
}

/// What a sheet gives. The Q of an untuned coil follows from its inductance and resistance, which are compared themselves, unless a limit is set on it.
fn numbers(sheet: &Sheet, given: &[Number], held: &Held) -> CoilNumbers {
    let positive = |key: Key| sheet.estimate(key.name()).filter(|e| e.value > 0.0);
    let limited = match held {
        Held::Stated(standard, _) => {
            matches!(**standard, Standard::Limits(_)) && given.contains(&Number::Q)
        }
        Held::Good(_) => false,
    };
    let tuned = sheet.estimate(Key::Resonance.name()).is_some();
    CoilNumbers {
        resonance_hz: positive(Key::Resonance),
        q: positive(Key::Q).filter(|_| tuned || limited),
        inductance_henry: positive(Key::Inductance),
        resistance_ohm: positive(Key::Resistance),
        capacitance_farad: positive(Key::Capacitance),
        direct_ohm: None,
    }
}

fn listed(numbers: &[Number]) -> String {
    let names: Vec<&str> = numbers.iter().map(|number| number.name()).collect();
    names.join(", ")
}

fn advice(unused: &[Number]) -> &'static str {
    if unused.contains(&Number::DirectResistance) {
        " An ohmmeter gives the direct-current resistance: --ohms."
    } else {
        ""
    }
}

fn nothing(unused: &[Number], found: &[Number]) -> String {
    let found = if found.is_empty() {
        "none of a coil's numbers".to_owned()
    } else {
        listed(found)
    };
    format!(
        "Nothing of this file can be held against the standard, so nothing is judged: the standard has {}, this file gives {found}.{}",
        listed(unused),
        advice(unused)
    )
}
