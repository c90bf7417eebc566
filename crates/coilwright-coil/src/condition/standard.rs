use super::evidence::CoilNumbers;
use super::limited::Limited;
use super::number::{COUNT, Number};
use super::state::BASE;
use crate::quantity::Positive;
use crate::{Estimate, FitError};
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// How well two measurements of one sound coil repeat, relative: inductance (placement, what lies near), capacitance
/// (a few kelvin), resistance at the working frequency (joints, driver, temperature), direct-current resistance (5 K). Common practice, no source.
const REPEATS: [f64; BASE] = [0.002, 0.005, 0.04, 0.02];

/// A value whose parts spread evenly within a relative tolerance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Toleranced {
    /// Nominal value.
    pub value: f64,
    /// Relative tolerance, 0.05 for 5 %.
    pub relative_tolerance: f64,
}

/// Lowest and highest value that is allowed; one of them may be absent.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(from = "Ends", into = "Ends")]
pub struct Range {
    /// Lowest; 0 where there is none.
    pub low: f64,
    /// Highest; infinite where there is none.
    pub high: f64,
}

/// A range as JSON has it, which knows no infinity: an end that is absent is null.
#[derive(Serialize, Deserialize)]
struct Ends {
    low: Option<f64>,
    high: Option<f64>,
}

impl From<Ends> for Range {
    fn from(ends: Ends) -> Self {
        Self {
            low: ends.low.unwrap_or(0.0),
            high: ends.high.unwrap_or(f64::INFINITY),
        }
    }
}

impl From<Range> for Ends {
    fn from(range: Range) -> Self {
        Self {
            low: Some(range.low).filter(|low| *low != 0.0),
            high: Some(range.high).filter(|high| high.is_finite()),
        }
    }
}

/// A coil as it was designed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Design {
    /// Inductance, henry.
    pub inductance_henry: Toleranced,
    /// Tuning capacitance, farad.
    pub capacitance_farad: Option<Toleranced>,
    /// Series resistance at the working frequency, ohm.
    pub resistance_ohm: Option<Toleranced>,
    /// Direct-current resistance at 20 °C, ohm.
    pub direct_ohm: Option<Toleranced>,
}

/// Plain limits, each of which may be missing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// Resonance, hertz.
    pub resonance_hz: Option<Range>,
    /// Q.
    pub q: Option<Range>,
    /// Inductance, henry.
    pub inductance_henry: Option<Range>,
    /// Series resistance at the working frequency, ohm.
    pub resistance_ohm: Option<Range>,
    /// Capacitance, farad.
    pub capacitance_farad: Option<Range>,
    /// Direct-current resistance at 20 °C, ohm.
    pub direct_ohm: Option<Range>,
}

/// What a coil is held against.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Standard {
    /// A sound coil of the same kind, or the same coil when it was sound, measured alike.
    Reference(CoilNumbers),
    /// The design.
    Design(Design),
    /// Plain limits.
    Limits(Limits),
}

/// What a sound coil should show.
#[derive(Clone, Copy, Debug)]
pub(super) struct Expected {
    /// Value of each number.
    pub(super) values: [Option<f64>; COUNT],
    /// Relative standard deviation of each number by itself.
    pub(super) own: [f64; COUNT],
    /// Relative standard deviation of inductance, capacitance, resistance and direct-current resistance, which move the numbers together.
    pub(super) base: [f64; BASE],
    /// Limits that were given as they stand.
    pub(super) limits: [Option<Range>; COUNT],
    /// Where the limits come from.
    pub(super) origin: &'static str,
}

impl Standard {
    pub(super) fn expected(&self) -> Result<Expected, FitError> {
        match self {
            Self::Reference(numbers) => reference(numbers),
            Self::Design(design) => design.expected(),
            Self::Limits(limits) => limits.expected(),
        }
    }
}

fn reference(numbers: &CoilNumbers) -> Result<Expected, FitError> {
    numbers.check()?;
    let all = numbers.all();
    Ok(Expected {
        values: all.map(|n| n.map(|e| e.value)),
        own: all.map(|n| n.map_or(0.0, |e| e.std_dev / e.value)),
        base: REPEATS,
        limits: [None; COUNT],
        origin: "three standard deviations of both measurements and of how well a sound coil repeats (common practice, no source)",
    })
}

impl Design {
    fn expected(&self) -> Result<Expected, FitError> {
        let even = |part: Option<Toleranced>, spread: f64| {
            part.map_or(spread, |p| {
                (p.relative_tolerance / 3_f64.sqrt()).hypot(spread)
            })
        };
        let parts = [
            Some(self.inductance_henry),
            self.capacitance_farad,
            self.resistance_ohm,
            self.direct_ohm,
        ];
        let kinds = [
            Positive::Inductance,
            Positive::Capacitance,
            Positive::Resistance,
            Positive::Resistance,
        ];
        for (part, kind) in parts.iter().zip(kinds) {
            if let Some(part) = part {
                kind.check(part.value)?;
                Positive::Deviation.check(part.relative_tolerance)?;
            }
        }
        let mut base = REPEATS;
        for (spread, part) in base.iter_mut().zip(parts) {
            *spread = even(part, *spread);
        }
        let [l, c, r, d] = [parts[0], parts[1], parts[2], parts[3]].map(|p| p.map(|p| p.value));
        let inductance = self.inductance_henry.value;
        let resonance = c.map(|c| (inductance * c).sqrt().recip() / TAU);
        let q = c.zip(r).map(|(c, r)| (inductance / c).sqrt() / r);
        Ok(Expected {
            values: [resonance, q, l, r, c, d],
            own: [0.0; COUNT],
            base,
            limits: [None; COUNT],
            origin: "three standard deviations of the measurement and of the design's tolerances",
        })
    }
}

impl Limits {
    fn expected(&self) -> Result<Expected, FitError> {
        let limits = [
            self.resonance_hz,
            self.q,
            self.inductance_henry,
            self.resistance_ohm,
            self.capacitance_farad,
            self.direct_ohm,
        ];
        let mut values = [None; COUNT];
        let mut own = [0.0; COUNT];
        for ((range, value), spread) in limits.iter().zip(&mut values).zip(&mut own) {
            let Some(range) = range else { continue };
            let limited = Limited::of(range).filter(|_| range.low >= 0.0 && range.low < range.high);
            let limited = limited.ok_or(FitError::BadRange {
                low: range.low,
                high: range.high,
            })?;
            *value = Some(limited.centre().exp());
            *spread = limited.spread();
        }
        Ok(Expected {
            values,
            own,
            base: [0.0; BASE],
            limits,
            origin: "the limits that were given",
        })
    }
}

impl Expected {
    /// Value of one number.
    pub(super) fn value(&self, number: Number) -> Option<f64> {
        self.values
            .iter()
            .zip(Number::ALL)
            .find_map(|(value, n)| value.filter(|_| n == number))
    }

    /// Relative standard deviation of one number of a sound coil; for a resonance alone, what it says of inductance or capacitance.
    pub(super) fn spread(&self, number: Number) -> f64 {
        let place = |n: Number| Number::ALL.iter().position(|m| *m == n).unwrap_or(0);
        let own = |n: Number| self.own.get(place(n)).copied().unwrap_or(0.0);
        let resonance = 2.0 * own(Number::Resonance);
        let [inductance, capacitance, ..] = self.base;
        match number {
            Number::Inductance => inductance.max(own(number)).max(resonance),
            Number::Capacitance => capacitance.max(own(number)).max(resonance),
            _ => own(number),
        }
    }

    /// As an estimate, for people.
    pub(super) fn estimate(&self, index: usize, relative: f64) -> Option<Estimate> {
        let value = (*self.values.get(index)?)?;
        Some(Estimate::new(value, value * relative))
    }
}
