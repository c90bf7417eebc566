use std::path::Path;

use coilwright_coil::condition::{CoilNumbers, Design, Limits, Number, Standard, Toleranced};

use super::Sheet;
use super::measure::{Bench, Expected};
use super::ohmmeter::Meter;
use crate::coil_args::{Key, Limit, Nominal, StandardArgs};
use crate::error::CommandError;

/// What coils are held against.
pub(crate) enum Held {
    /// A sound coil that was measured alike.
    Good(Box<Sheet>),
    /// A design or limits, and the numbers that were given.
    Stated(Box<Standard>, Vec<Number>),
}

impl Held {
    /// As the arguments say; `None` where they say nothing.
    pub(crate) fn of(
        arguments: &StandardArgs,
        meter: &Meter,
        bench: &Bench<'_>,
    ) -> Result<Option<Self>, CommandError> {
        if let Some(path) = &arguments.against {
            return good(path, bench).map(Some);
        }
        let (standard, given) = if !arguments.limit.is_empty() {
            let given = arguments.limit.iter().map(|l| l.key.number()).collect();
            (Standard::Limits(limits(&arguments.limit)), given)
        } else if !arguments.nominal.is_empty() {
            let given = arguments.nominal.iter().map(|n| n.key.number()).collect();
            (Standard::Design(design(&arguments.nominal)?), given)
        } else if meter.good_ohm.is_some() {
            let standard = Standard::Reference(CoilNumbers {
                direct_ohm: meter.good_ohm,
                ..CoilNumbers::default()
            });
            (standard, vec![Number::DirectResistance])
        } else {
            return Ok(None);
        };
        Ok(Some(Self::Stated(Box::new(standard), given)))
    }

    /// No standard: only what speaks for itself can be judged.
    pub(crate) fn nothing() -> Self {
        let standard = Standard::Reference(CoilNumbers::default());
        Self::Stated(Box::new(standard), Vec::new())
    }

    /// What the coils are expected to be measured like.
    pub(crate) fn expected(&self) -> Expected {
        match self {
            Self::Good(good) if good.kind == "ring_down" => Expected::RingDown,
            _ => Expected::Anything,
        }
    }

    /// Refuses a measurement of another kind than the good one: loaded and unloaded numbers do not compare.
    pub(crate) fn same_kind(&self, path: &Path, sheet: &Sheet) -> Result<(), CommandError> {
        match self {
            Self::Good(good) if sheet.kind != good.kind => Err(CommandError::KindsDiffer {
                path: path.to_owned(),
                found: sheet.kind,
                expected: good.kind,
                hint: match good.kind {
                    "ring_down" => {
                        "; if the coil was tapped and not driven, say --signal-kind ring-down"
                    }
                    _ => "",
                },
            }),
            _ => Ok(()),
        }
    }
}

/// A sound coil, of which at least one number must be known.
fn good(path: &Path, bench: &Bench<'_>) -> Result<Held, CommandError> {
    let sheet = bench.measure(path, Expected::Anything)?;
    if sheet.numbers.is_empty() {
        return Err(CommandError::NothingSound {
            path: path.to_owned(),
            said: sheet.notes.join(" "),
        });
    }
    Ok(Held::Good(Box::new(sheet)))
}

fn limits(given: &[Limit]) -> Limits {
    let mut limits = Limits::default();
    for Limit { key, range } in given {
        let place = match key {
            Key::Resonance => &mut limits.resonance_hz,
            Key::Q => &mut limits.q,
            Key::Inductance => &mut limits.inductance_henry,
            Key::Resistance => &mut limits.resistance_ohm,
            Key::Capacitance => &mut limits.capacitance_farad,
            Key::Direct => &mut limits.direct_ohm,
        };
        *place = Some(*range);
    }
    limits
}

fn design(given: &[Nominal]) -> Result<Design, CommandError> {
    let of = |wanted: Key| -> Option<Toleranced> {
        given
            .iter()
            .rev()
            .find_map(|n| (n.key == wanted).then_some(n.value))
    };
    if let Some(stray) = given
        .iter()
        .find(|n| matches!(n.key, Key::Resonance | Key::Q))
    {
        return Err(CommandError::NoPartOfADesign {
            found: stray.key.name(),
        });
    }
    Ok(Design {
        inductance_henry: of(Key::Inductance).ok_or(CommandError::DesignWithoutInductance)?,
        capacitance_farad: of(Key::Capacitance),
        resistance_ohm: of(Key::Resistance),
        direct_ohm: of(Key::Direct),
    })
}
