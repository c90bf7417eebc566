use std::path::Path;

use coilwright_coil::condition::{Design, Limits, Standard, Toleranced};

use super::Sheet;
use super::measure::measure;
use crate::coil_args::{Key, Limit, MeasureArgs, Nominal, StandardArgs};
use crate::error::CommandError;

/// What coils are held against.
pub(crate) enum Held {
    /// A sound coil that was measured alike.
    Good(Box<Sheet>),
    /// A design or limits.
    Stated(Box<Standard>),
}

impl Held {
    /// As the arguments say; `None` where they say nothing.
    pub(crate) fn of(
        arguments: &StandardArgs,
        reading: &MeasureArgs,
    ) -> Result<Option<Self>, CommandError> {
        if let Some(path) = &arguments.against {
            let good = measure(path, reading)?;
            return Ok(Some(Self::Good(Box::new(good))));
        }
        let standard = if !arguments.limit.is_empty() {
            Standard::Limits(limits(&arguments.limit))
        } else if !arguments.nominal.is_empty() {
            Standard::Design(design(&arguments.nominal)?)
        } else {
            return Ok(None);
        };
        Ok(Some(Self::Stated(Box::new(standard))))
    }

    /// Refuses a measurement of another kind than the good one: loaded and unloaded numbers do not compare.
    pub(crate) fn same_kind(&self, path: &Path, sheet: &Sheet) -> Result<(), CommandError> {
        match self {
            Self::Good(good) if sheet.kind != good.kind => Err(CommandError::KindsDiffer {
                path: path.to_owned(),
                found: sheet.kind,
                expected: good.kind,
            }),
            _ => Ok(()),
        }
    }
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
