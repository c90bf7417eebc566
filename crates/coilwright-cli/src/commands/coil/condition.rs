use coilwright_coil::condition::{
    CoilEvidence, CoilNumbers, Number, Ringing, Standard, judge_coil,
};
use coilwright_coil::{FitError, OhmmeterEvidence};

use super::measure::SERIES_CAPACITANCE;
use super::ohmmeter::Meter;
use super::{Held, Sheet};
use crate::coil_args::Key;

/// Judges a coil against a sound one that was measured alike, a design or limits; says what of them could not be used, and gives no verdict where
/// that is all of them.
pub(crate) fn judge(
    sheet: &mut Sheet,
    held: &Held,
    meter: &Meter,
    turns: Option<f64>,
) -> Result<(), FitError> {
    let comparison = Comparison::of(sheet, held);
    let (standard, given) = standard(held, meter, comparison);
    let evidence = CoilEvidence {
        numbers: comparison.numbers(sheet),
        ohmmeter: meter.reading,
        open_circuit: sheet.open,
        ringing: ringing(sheet, &standard),
    };
    let silent = evidence.ringing == Ringing::NoneSeen;
    let has = |number: &Number| match number {
        // What does not ring has neither, and is judged by that.
        Number::Resonance | Number::Q if silent => true,
        Number::DirectResistance if evidence.ohmmeter.is_some() || sheet.open => true,
        _ => evidence.numbers.get(*number).is_some(),
    };
    let (used, unused): (Vec<Number>, Vec<Number>) = given.into_iter().partition(has);
    // A reading that shows a winding says nothing more without a resistance to compare with.
    let telling = !matches!(
        meter.evidence,
        None | Some(OhmmeterEvidence::Winding { .. })
    );
    if used.is_empty() && !silent && !telling && !sheet.open {
        let found: Vec<Number> = Number::ALL.into_iter().filter(has).collect();
        if !unused.is_empty() {
            say(sheet, nothing(&unused, &found));
        }
        return Ok(());
    }
    sheet.verdict = Some(judge_coil(&evidence, &standard, turns)?);
    if !unused.is_empty() {
        let text = format!(
            "Not judged, since it was not measured here: {}.{}",
            listed(&unused),
            advice(&unused)
        );
        say(sheet, text);
    }
    Ok(())
}

/// The standard, and the numbers that it was given by.
fn standard(held: &Held, meter: &Meter, comparison: Comparison) -> (Standard, Vec<Number>) {
    match held {
        Held::Good(good) => {
            let numbers = CoilNumbers {
                direct_ohm: meter.good_ohm,
                ..comparison.numbers(good)
            };
            let known = |number: &Number| numbers.get(*number).is_some();
            let given = Number::ALL.into_iter().filter(known).collect();
            (Standard::Reference(numbers), given)
        }
        Held::Stated(standard, given) => (**standard, given.clone()),
    }
}

/// Whether a tapped coil rings; a sweep over all frequencies of a sound resonance in which nothing resonates is as one that
/// does not.
fn ringing(sheet: &Sheet, standard: &Standard) -> Ringing {
    let sound_hz = match standard {
        Standard::Reference(numbers) => numbers.resonance_hz.map(|f| (f.value, f.value)),
        Standard::Limits(limits) => limits.resonance_hz.map(|r| (r.low, r.high)),
        Standard::Design(_) => None,
    };
    let swept = sheet.swept_hz.zip(sound_hz);
    let over = swept.is_some_and(|((from, to), (low, high))| from <= low && high <= to);
    if over && sheet.numbers.is_empty() {
        Ringing::NoneSeen
    } else {
        sheet.ringing
    }
}

/// Which numbers of a measurement and its standard compare.
#[derive(Clone, Copy, Debug)]
struct Comparison {
    /// Both have the parts of a series ring: these say all that its resonance and Q do.
    by_parts: bool,
    /// Both capacitances are of the same capacitor.
    same_capacitor: bool,
    /// A limit is set on Q.
    q_limited: bool,
}

impl Comparison {
    fn of(sheet: &Sheet, held: &Held) -> Self {
        let capacitor = |sheet: &Sheet| sheet.name_of(Key::Capacitance.name());
        let found = capacitor(sheet);
        match held {
            Held::Good(good) => Self {
                by_parts: found == Some(SERIES_CAPACITANCE) && found == capacitor(good),
                // A ring's capacitor is not what lies across an untuned coil.
                same_capacitor: found == capacitor(good),
                q_limited: false,
            },
            Held::Stated(standard, given) => {
                let limits = matches!(**standard, Standard::Limits(_));
                Self {
                    by_parts: false,
                    same_capacitor: limits || found == Some(SERIES_CAPACITANCE),
                    q_limited: limits && given.contains(&Number::Q),
                }
            }
        }
    }

    /// What a sheet gives. The Q of an untuned coil follows from its inductance and resistance, which are compared themselves, unless a limit is set on it.
    fn numbers(self, sheet: &Sheet) -> CoilNumbers {
        let positive = |key: Key| sheet.estimate(key.name()).filter(|e| e.value > 0.0);
        let resonance_hz = positive(Key::Resonance);
        let q_counts = resonance_hz.is_some() || self.q_limited;
        CoilNumbers {
            resonance_hz: resonance_hz.filter(|_| !self.by_parts),
            q: positive(Key::Q).filter(|_| q_counts && !self.by_parts),
            inductance_henry: positive(Key::Inductance),
            resistance_ohm: positive(Key::Resistance),
            capacitance_farad: positive(Key::Capacitance).filter(|_| self.same_capacitor),
            direct_ohm: None,
        }
    }
}

/// Says what of the standard was not used, before all other notes.
fn say(sheet: &mut Sheet, text: String) {
    sheet.notes.insert(0, text.clone());
    sheet.unjudged = Some(text);
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
